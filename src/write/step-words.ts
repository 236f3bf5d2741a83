import { digits } from '../core/figures.js';
import type { Plan } from '../plan/plan.js';

/** Saving less than this share of all minutes is not worth a word. */
export const WORTH_SHARE = 0.03;

type Setter = NonNullable<Plan['passes']['waterline']['stepSetBy']>;

/** For whose sake a pass takes small steps, and what cutting that apart would save. */
export function stepWords(
  pass: 'waterline' | 'raster',
  cutterId: string,
  spacingMm: number,
  { regionIds, areaMm2, restAreaMm2, restStepMm, savesMinutes }: Setter,
): string {
  const named = regionIds.length === 1 ? `region ${regionIds[0]}` : `${regionIds.length} regions`;
  return (
    `${digits(areaMm2)} mm² (${named}) set the ${pass === 'raster' ? 'stepover' : 'stepdown'} of the ${pass} of ` +
    `${cutterId} to ${digits(spacingMm)} mm for ${digits(restAreaMm2)} mm² more: cut apart, the rest may take ` +
    `${digits(restStepMm)} mm, about ${digits(savesMinutes)} min less.`
  );
}

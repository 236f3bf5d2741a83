import { digits, figure } from '../core/figures.js';
import type { Plan } from '../plan/plan.js';

/** Saving less than this share of all minutes is not worth a word. */
export const WORTH_SHARE = 0.03;

/** Steps of a pass, as text: the least to the greatest. */
export function stepRange(
  {
    spacingMm,
    widestSpacingMm = spacingMm,
  }: { readonly spacingMm: number; readonly widestSpacingMm?: number },
  text: (mm: number) => string,
  between = ' to ',
): string {
  const [least, most] = [text(spacingMm), text(widestSpacingMm)];
  return least === most ? most : `${least}${between}${most}`;
}

type Apart = NonNullable<Plan['passes']['waterline']['cutApart']>;

/** What a pass cuts apart at small steps, and what that saves. */
export function stepWords(
  pass: 'waterline' | 'raster',
  cutterId: string,
  { regionIds, areaMm2, restAreaMm2, stepMm, restStepMm, savesMinutes }: Apart,
): string {
  const named = regionIds.length === 1 ? `region ${regionIds[0]}` : `${regionIds.length} regions`;
  return (
    `${digits(areaMm2)} mm² (${named}) need a ${pass === 'raster' ? 'stepover' : 'stepdown'} of ` +
    `${digits(stepMm)} mm in the ${pass} of ${cutterId}, ${digits(restAreaMm2)} mm² more take ` +
    `${digits(restStepMm)} mm: cut apart, ${figure(savesMinutes, 1)} min less than with one step for all.`
  );
}

/** Whether floors and walls are not all there is: only then does a split change anything. */
export const hasPasses = ({ passes: { waterline, raster, constant } }: Pick<Plan, 'passes'>): boolean =>
  waterline.areaMm2 + raster.areaMm2 + constant.areaMm2 > 0;

import type { Plan, TightRegion } from '../plan/plan.js';

/** What a place is called on every sheet: T, what the cutter of the passes leaves; L, what none reaches. */
export const tightName = ({ id }: Pick<TightRegion, 'id'>): string => `T${id}`;
export const leftName = ({ id }: Pick<TightRegion, 'id'>): string => `L${id}`;
/** D: what is too deep for the cutter that gets in. */
export const deepName = ({ id }: { readonly id: number }): string => `D${id}`;
/** W: walls that do not release a moulding. */
export const releaseName = ({ id }: { readonly id: number }): string => `W${id}`;
/** H: holes that are alike; `place`, of several one. */
export const holeName = (
  { id, count }: { readonly id: number; readonly count: number },
  place: number,
): string => (count === 1 ? `H${id}` : `H${id}.${place}`);
/** Place `id` of what cutter `order` (1: the first) has to clean. */
export const restName = (order: number, id: number): string => `C${order}.${id}`;

/** What balls fit into a place: the same words on every sheet, with its radius as the sheet writes it. */
export const ballWords = (radiusMm: number | 'unlimited', figureOf: (mm: number) => string): string =>
  radiusMm === 'unlimited' ? 'any ball' : radiusMm === 0 ? 'no ball' : figureOf(radiusMm);

/** The place that asks for the smallest ball; of equals the largest. Null: the cutter of the passes leaves nothing. */
export function tightestPlace({ tightRegions }: Pick<Plan['reach'], 'tightRegions'>): TightRegion | null {
  const need = ({ reachRadiusMm }: TightRegion): number =>
    reachRadiusMm === 'unlimited' ? Infinity : reachRadiusMm;
  return tightRegions.reduce<TightRegion | null>(
    (best, place) =>
      best === null ||
      need(place) < need(best) ||
      (need(place) === need(best) && place.areaMm2 > best.areaMm2)
        ? place
        : best,
    null,
  );
}

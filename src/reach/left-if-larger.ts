import { MACHINABLE_CLASSES } from '../core/classes.js';
import { nextCorner } from '../part/half-edge.js';
import { shareOut, type ReachBorder, type ReachCounts } from './unreached-area.js';

/**
 * (F) Share of each facet that a ball would leave if it were a little larger, from what was found for the radii asked:
 * along an edge reach radii run straight between its ends and the borders that cross it. Where all radii reach it is
 * not known how far they do; there they run on as they did up to the last border.
 *
 * @param index of the radius that is taken larger
 * @param radiusMm as large as it is taken, allowance included
 */
export function leftIfLarger(
  { surface, labels, counts, reachRadii, radii }: Omit<ReachCounts, 'toldBorder' | 'part'>,
  borders: readonly Pick<ReachBorder, 'halfEdges' | 'fractions'>[],
  index: number,
  radiusMm: number,
): Float64Array {
  const { triangles } = surface.mesh,
    { twin } = surface.topology;
  const next = radii.findIndex((radius) => radius > radiusMm),
    low = (next < 0 ? radii.length : next) - 1;
  const fractionsOf = (at: number): Float32Array => {
    const out = new Float32Array(at < 0 ? 0 : triangles.length).fill(NaN);
    borders[at]?.halfEdges.forEach((h, i) => {
      out[h] = borders[at].fractions[i];
      if (twin[h] >= 0) out[twin[h]] = out[h];
    });
    return out;
  };
  const below = fractionsOf(low),
    above = fractionsOf(next);
  const isOut = (h: number): boolean => counts[triangles[h]] <= index || reachRadii[triangles[h]] < radiusMm;
  const fraction = (h: number): number => {
    const ends = [reachRadii[triangles[h]], reachRadii[triangles[nextCorner(h)]]];
    const out = Math.min(...ends),
      reached = Math.max(...ends);
    const isLow = below[h] >= 0,
      isHigh = above[h] >= 0;
    const [from, at] = isLow ? [radii[low], below[h]] : [out, 0];
    if (isHigh || reached < Infinity) {
      const [to, end] = isHigh ? [radii[next], above[h]] : [reached, 1];
      return to > from ? Math.min(1, at + ((end - at) * (radiusMm - from)) / (to - from)) : at;
    }
    return from > out ? Math.min(1, (at * (radiusMm - out)) / (from - out)) : at;
  };
  return Float64Array.from(labels, (label, f) =>
    label < MACHINABLE_CLASSES ? shareOut(f, isOut, fraction) : 0,
  );
}

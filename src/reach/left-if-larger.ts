import { MACHINABLE_CLASSES } from '../core/classes.js';
import { mapTo } from '../core/map-to.js';
import { edgeLength } from '../part/facet-geometry.js';
import { nextCorner } from '../part/half-edge.js';
import { fractionsAlong, shareOut, type ReachBorder, type ReachCounts } from './unreached-area.js';

/**
 * Past the last border an edge goes on as it went up to it, but by no more than this many times the radius' growth, as
 * between planes that turn by 127 degrees: near a border reach radii are told too roughly for a slope.
 */
const MOST_SLOPE = 2;

/**
 * (F) Share of each facet that a ball would leave if it were a little larger, from what was found for the radii asked:
 * along an edge reach radii run straight between its ends and the borders that cross it. Beyond the largest radius it is
 * not known how far they run; there the border moves on as fast as it came. What it moves beyond a facet is told of that
 * facet all the same, so that its share may be more than 1.
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
  const { mesh, topology } = surface,
    { triangles } = mesh;
  const next = radii.findIndex((radius) => radius > radiusMm),
    low = (next < 0 ? radii.length : next) - 1;
  const fractionsOf = (at: number): Float32Array =>
    at < 0
      ? new Float32Array()
      : fractionsAlong(borders[at], topology.twin, new Float32Array(triangles.length).fill(NaN));
  const below = fractionsOf(low),
    above = fractionsOf(next);
  const endsOf = (h: number): readonly [least: number, most: number] => {
    const ends = [reachRadii[triangles[h]], reachRadii[triangles[nextCorner(h)]]];
    return [Math.min(...ends), Math.max(...ends)];
  };
  const askedMm = Math.min(radiusMm, radii[radii.length - 1]);
  const outAt = mapTo(new Uint8Array(counts.length), counts, (count, v) =>
    count <= index || reachRadii[v] < askedMm ? 1 : 0,
  );
  const isOut = (h: number): boolean => outAt[triangles[h]] === 1;
  const between = (h: number): number => {
    const [out, reached] = endsOf(h);
    const [from, at] = below[h] >= 0 ? [radii[low], below[h]] : [out, 0],
      [to, end] = above[h] >= 0 ? [radii[next], above[h]] : [reached, 1];
    return to > from && to < Infinity ? Math.min(1, at + ((end - at) * (radiusMm - from)) / (to - from)) : at;
  };
  const growthMm = radiusMm - radii[low];
  const beyond = (h: number): number => {
    const off = radii[low] - endsOf(h)[0];
    const moved = off > 0 ? (below[h] * growthMm) / off : 0;
    return Math.min(moved, (MOST_SLOPE * growthMm) / edgeLength(mesh, h));
  };
  return mapTo(new Float64Array(labels.length), labels, (label, f) => {
    if (label >= MACHINABLE_CLASSES) return 0;
    const out = outAt[triangles[3 * f]] + outAt[triangles[3 * f + 1]] + outAt[triangles[3 * f + 2]];
    if (out === 0 || out === 3) return out / 3;
    if (next >= 0) return shareOut(f, isOut, between);
    const share = shareOut(f, isOut, (h) => below[h]);
    if (share === 0 || share === 1) return share;
    // To first order: what a moved end sweeps, the other staying.
    const cut = [3 * f, 3 * f + 1, 3 * f + 2].filter((h) => below[h] >= 0);
    return cut.reduce((sum, one) => {
      const withOne = (h: number): number => below[h] + (h === one ? beyond(h) : 0);
      return sum + shareOut(f, isOut, withOne) - share;
    }, share);
  });
}

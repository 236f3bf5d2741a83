import { doubleArea } from '../part/facet-geometry.js';
import { nextCorner, prevCorner } from '../part/half-edge.js';
import { edgeKey } from '../surface/edge-key.js';
import type { SurfaceArrays } from '../surface/surface-builder.js';
import { isStraight } from './reach-middles.js';
import { reachAtCorner, type SidedReach } from './sided-reach.js';

/** Below there is no way to tell how reach runs, mm: in a sharp corner, or where all that is known is that it is none. */
const LEAST_MM = 1e-3;

const cross = new Float64Array(3);

/**
 * How far the border of some radius through a facet may be off a straight line, mm, by the values at its corners and
 * in the middles of its edges. Borders are looked for on edges one by one, so it does not matter how reach runs across
 * them, only whether they are straight: beside a rim all of them lie within some tenths of a millimetre, and long pieces
 * do.
 *
 * Worked out for h = 1 / reach radius, which has the same borders and stays bounded. With d the differences of h along
 * the three edges and e what h in their middles is off the mean of the ends', the second-order surface through the six
 * values is off the plane by `Σ e_i d_j d_k / max d²` at the middle of the level line through the corner that is neither
 * the highest nor the lowest. Over the slope that is a length.
 *
 * @param middles by `edgeKey`, mm; edges without one are taken as straight
 * @param most radii above are not told apart, mm
 * @returns Infinity where a middle lies beyond both ends, so that a border may cross an edge twice, and beside radii of
 *   nothing along which reach is not straight
 */
export function borderBend(
  arrays: SurfaceArrays,
  f: number,
  known: SidedReach,
  middles: ReadonlyMap<number, number>,
  most: number,
): number {
  const inverse = (reach: number): number => 1 / Math.min(most, Math.max(LEAST_MM, reach));
  const reach = [0, 1, 2].map((k) => Math.min(most, reachAtCorner(known, arrays, 3 * f + k)));
  const rise = [0, 1, 2].map((k) => inverse(reach[(k + 1) % 3]) - inverse(reach[k]));
  let off = 0,
    isCurved = false;
  for (let k = 0; k < 3; k++) {
    const [from, to] = [reach[k], reach[(k + 1) % 3]];
    const h = 3 * f + k,
      middle = middles.get(edgeKey(arrays.triangles[h], arrays.triangles[nextCorner(h)]));
    if (middle === undefined || isStraight(from, middle, to, most)) continue;
    const between = Math.max(Math.min(from, to), Math.min(middle, Math.max(from, to)));
    if (Math.min(from, middle, to) < LEAST_MM || !isStraight(between, middle, between, most)) return Infinity;
    isCurved = true;
    off += (inverse(middle) - 0.5 * (inverse(from) + inverse(to))) * rise[(k + 1) % 3] * rise[(k + 2) % 3];
  }
  if (!isCurved) return 0;
  const steepest = Math.max(...rise.map(Math.abs));
  return (doubleArea(arrays, f, cross) * Math.abs(off)) / (steepest * steepest * levelWay(arrays, f, rise));
}

/** Length of the way in a facet's plane along which nothing rises, times the greatest rise, mm. */
function levelWay({ positions, triangles }: SurfaceArrays, f: number, rise: readonly number[]): number {
  const h = 3 * f,
    from = 3 * triangles[h],
    one = 3 * triangles[nextCorner(h)],
    other = 3 * triangles[prevCorner(h)];
  const [x, y, z] = [0, 1, 2].map(
    (i) =>
      rise[0] * (positions[other + i] - positions[from + i]) +
      rise[2] * (positions[one + i] - positions[from + i]),
  );
  return Math.sqrt(x * x + y * y + z * z);
}

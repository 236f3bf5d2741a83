import type { Cover } from '../core/cover.js';
import { facetSearch } from './facet-search.js';
import type { PartTree } from './part-tree.js';

/** Facets that overlap by less in plan, mm, only touch. */
const TOUCHING_MM = 1e-4;

/**
 * Tells how much of a triangle the part stands over, seen from above.
 *
 * @returns a function of (9) corners, mm, and the height above them from which something counts as over them, mm, >= 0.
 *   Upright facets count for nothing: their neighbours do. Holds scratch: one per thread.
 */
export function coverOver(tree: PartTree): (triangle: Float64Array, clearMm: number) => Cover {
  const { boxes, corners, centre } = tree;
  const some = facetSearch(tree);
  const at = new Float64Array(9),
    min = new Float64Array(3),
    max = new Float64Array(3);
  let found: Cover = 'none';
  /** Once some is known to lie under the part only a facet over all of it tells more. */
  const mayMatter = (node: number): boolean => {
    if (boxes[node + 5] <= min[2]) return false;
    const [low, high] = found === 'none' ? [max, min] : [min, max];
    for (let i = 0; i < 2; i++) {
      if (boxes[node + i] > low[i] + TOUCHING_MM || boxes[node + 3 + i] < high[i] - TOUCHING_MM) return false;
    }
    return true;
  };
  return (triangle, clearMm) => {
    min.fill(Infinity);
    max.fill(-Infinity);
    for (let i = 0; i < 9; i++) {
      at[i] = triangle[i] - centre[i % 3] + (i % 3 === 2 ? clearMm : 0);
      min[i % 3] = Math.min(min[i % 3], at[i]);
      max[i % 3] = Math.max(max[i % 3], at[i]);
    }
    found = 'none';
    const isWhole = some(mayMatter, (facet) => {
      const cover = coverOf(corners, 9 * facet, at);
      if (cover === 'some') found = cover;
      return cover === 'whole';
    });
    return isWhole ? 'whole' : found;
  };
}

/** How much of triangle b lies under facet a, whose corners begin at index o. */
function coverOf(a: Float32Array, o: number, b: Float64Array): Cover {
  const abx = a[o + 3] - a[o],
    aby = a[o + 4] - a[o + 1],
    acx = a[o + 6] - a[o],
    acy = a[o + 7] - a[o + 1];
  const area = abx * acy - aby * acx;
  if (area === 0) return 'none';
  let above = 0;
  for (let k = 0; k < 9; k += 3) {
    const x = b[k] - a[o],
      y = b[k + 1] - a[o + 1];
    const v = (x * acy - y * acx) / area,
      w = (abx * y - aby * x) / area;
    if (a[o + 2] + v * (a[o + 5] - a[o + 2]) + w * (a[o + 8] - a[o + 2]) > b[k + 2]) above++;
  }
  if (above === 0) return 'none';
  const inside = within(a, o, Math.sign(area), b, 0);
  if (inside === 'whole' && above === 3) return 'whole';
  const turn = (b[3] - b[0]) * (b[7] - b[1]) - (b[4] - b[1]) * (b[6] - b[0]);
  return inside === 'none' || within(b, 0, Math.sign(turn), a, o) === 'none' ? 'none' : 'some';
}

/**
 * How much of triangle b lies within a in plan, by a's edges alone: 'none' if all of b lies beyond one of them.
 *
 * @param turn 1 if a runs counter-clockwise in plan, -1 if clockwise
 */
function within(a: ArrayLike<number>, o: number, turn: number, b: ArrayLike<number>, p: number): Cover {
  let found: Cover = 'whole';
  for (let k = 0; k < 3; k++) {
    const i = o + 3 * k,
      j = o + 3 * ((k + 1) % 3);
    const x = turn * (a[j] - a[i]),
      y = turn * (a[j + 1] - a[i + 1]),
      touching = TOUCHING_MM * Math.sqrt(x * x + y * y);
    let furthest = -Infinity;
    for (let q = p; q < p + 9; q += 3) {
      const side = x * (b[q + 1] - a[i + 1]) - y * (b[q] - a[i]);
      furthest = Math.max(furthest, side);
      if (side < -touching) found = 'some';
    }
    if (furthest <= touching) return 'none';
  }
  return found;
}

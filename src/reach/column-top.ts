import { facetSearch } from './facet-search.js';
import type { PartTree } from './part-tree.js';

/**
 * Height of the part's highest surface over a point in plan.
 *
 * @returns a function of x and y, mm, giving z in mm; -Infinity where the part has nothing over or under the
 *   point. Edges count as part of the surface. Holds scratch: one per thread.
 */
export function columnTop(tree: PartTree): (x: number, y: number) => number {
  const { boxes, corners } = tree;
  const [ox, oy, oz] = tree.centre;
  const some = facetSearch(tree);
  /** x and y asked about, highest so far: numbers that change cost an allocation each outside of an array */
  const at = new Float64Array(3);
  const mayBeHigher = (node: number): boolean =>
    at[0] >= boxes[node] &&
    at[0] <= boxes[node + 3] &&
    at[1] >= boxes[node + 1] &&
    at[1] <= boxes[node + 4] &&
    boxes[node + 5] > at[2];
  const look = (facet: number): boolean => {
    at[2] = Math.max(at[2], heightOver(corners, 9 * facet, at[0], at[1]));
    return false;
  };
  return (x, y) => {
    at[0] = x - ox;
    at[1] = y - oy;
    at[2] = -Infinity;
    some(mayBeHigher, look);
    return at[2] + oz;
  };
}

/** Height of a triangle over a point in plan; -Infinity beside it; the upper end where it stands upright. */
function heightOver(t: Float32Array, o: number, x: number, y: number): number {
  const abx = t[o + 3] - t[o],
    aby = t[o + 4] - t[o + 1],
    acx = t[o + 6] - t[o],
    acy = t[o + 7] - t[o + 1];
  const area = abx * acy - aby * acx;
  // An upright facet is seen edge on: its neighbours, which share its upper edge, give the height.
  if (area === 0) return -Infinity;
  const px = x - t[o],
    py = y - t[o + 1];
  const v = (px * acy - py * acx) / area,
    w = (abx * py - aby * px) / area;
  if (v < 0 || w < 0 || v + w > 1) return -Infinity;
  return t[o + 2] + v * (t[o + 5] - t[o + 2]) + w * (t[o + 8] - t[o + 2]);
}

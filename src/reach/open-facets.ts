import { facetSearch } from './facet-search.js';
import type { PartTree } from './part-tree.js';

/** Numbers per facet asked about: of each corner its position on the true surface and the normal there. */
export const FACET_STRIDE = 18;

/** A closest place that is not settled after so many steps is left open. */
const MOST_STEPS = 64;

/**
 * Whether a ball-nose cutter surely stands clear of the part wherever on a facet it stands, its shaft included: then
 * nothing happens inside the facet that its corners do not show.
 *
 * The ball's centre runs over the triangle of its centres at the corners. Nothing may be nearer than the radius to that
 * triangle, or to what lies straight above it. What lies below the triangle's own plane by so much is clear at once,
 * and so is any tree node: of a convex part that is all.
 *
 * Source: Gilbert, SIAM J. Control 4:61-80, 1966 (point of a convex set nearest to the origin; from memory).
 *
 * @param facets (18 N) see `FACET_STRIDE`
 * @param radius the allowance left on the part included, mm
 * @param slackMm by so much the cutter may enter the part
 * @returns (N) 1: clear; 0: not, or not shown
 */
export function openFacets(
  tree: PartTree,
  facets: Float64Array,
  radius: number,
  slackMm: number,
): Float64Array {
  const { boxes, corners } = tree;
  const clear = radius - slackMm,
    some = facetSearch(tree);
  const centres = new Float64Array(9),
    bounds = new Float64Array(6),
    normal = new Float64Array(3);
  const out = new Float64Array(facets.length / FACET_STRIDE);
  for (let i = 0; i < out.length; i++) {
    place(facets, FACET_STRIDE * i, radius, tree.centre, centres, bounds, normal);
    // A shaft would pass through a facet that hangs over.
    out[i] = normal[2] >= 0 && isClear() ? 1 : 0;
  }
  return out;

  function isClear(): boolean {
    const most = leastAlong(centres, 0, normal) - clear;
    return !some(
      (node) => boxAlong(boxes, node, normal) > most && boxApart(boxes, node, bounds) < clear * clear,
      (facet) => mostAlong(corners, 9 * facet, normal) > most && !isApart(centres, corners, 9 * facet, clear),
    );
  }
}

/** Centres of the ball at the corners of a facet, from the tree's; the box about them; their mean normal. */
function place(
  facets: Float64Array,
  at: number,
  radius: number,
  origin: PartTree['centre'],
  centres: Float64Array,
  bounds: Float64Array,
  normal: Float64Array,
): void {
  for (let k = 0; k < 3; k++) {
    for (let c = 0; c < 3; c++)
      centres[3 * c + k] = facets[at + 6 * c + k] + radius * facets[at + 6 * c + 3 + k] - origin[k];
    bounds[k] = Math.min(centres[k], centres[3 + k], centres[6 + k]);
    bounds[3 + k] = Math.max(centres[k], centres[3 + k], centres[6 + k]);
    normal[k] = facets[at + 3 + k] + facets[at + 9 + k] + facets[at + 15 + k];
  }
  const length = Math.sqrt(normal[0] * normal[0] + normal[1] * normal[1] + normal[2] * normal[2]) || 1;
  for (let k = 0; k < 3; k++) normal[k] /= length;
}

const along = (points: ArrayLike<number>, o: number, d: ArrayLike<number>): number =>
  points[o] * d[0] + points[o + 1] * d[1] + points[o + 2] * d[2];
const leastAlong = (points: ArrayLike<number>, o: number, d: ArrayLike<number>): number =>
  Math.min(along(points, o, d), along(points, o + 3, d), along(points, o + 6, d));
const mostAlong = (points: ArrayLike<number>, o: number, d: ArrayLike<number>): number =>
  Math.max(along(points, o, d), along(points, o + 3, d), along(points, o + 6, d));

/** How far along a direction a node's box goes at most. */
function boxAlong(boxes: Float32Array, node: number, d: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < 3; k++) sum += d[k] * boxes[node + k + (d[k] > 0 ? 3 : 0)];
  return sum;
}

/** Squared distance of a node's box from a box and all that is above it. */
function boxApart(boxes: Float32Array, node: number, bounds: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < 3; k++) {
    const before = bounds[k] - boxes[node + 3 + k],
      after = k === 2 ? 0 : boxes[node + k] - bounds[3 + k];
    sum += Math.max(0, before, after) ** 2;
  }
  return sum;
}

/** Whether a triangle is surely no nearer than so much to another, and to what lies straight above that other. */
function isApart(above: Float64Array, corners: Float32Array, o: number, clear: number): boolean {
  const v = [above[0] - corners[o], above[1] - corners[o + 1], Math.max(0, above[2] - corners[o + 2])];
  for (let step = 0; step < MOST_STEPS; step++) {
    const squared = along(v, 0, v),
      length = Math.sqrt(squared);
    if (length < clear) return false;
    // All differences of places lie beyond the plane square to this one through the least of them.
    const [a, b] = [cornerWhere(above, 0, v, -1), cornerWhere(corners, o, v, 1)];
    const s = [above[a] - corners[b], above[a + 1] - corners[b + 1], above[a + 2] - corners[b + 2]];
    if (along(s, 0, v) >= clear * length) return true;
    const toward = s.map((x, k) => x - v[k]);
    const share = Math.min(1, Math.max(0, -along(v, 0, toward) / (along(toward, 0, toward) || 1)));
    for (let k = 0; k < 3; k++) v[k] += share * toward[k];
    v[2] = Math.max(0, v[2]);
  }
  return false;
}

/** Offset of the corner that lies furthest along a direction, or against it. */
function cornerWhere(points: ArrayLike<number>, o: number, d: ArrayLike<number>, sign: 1 | -1): number {
  let best = o;
  for (const at of [o + 3, o + 6]) if (sign * (along(points, at, d) - along(points, best, d)) > 0) best = at;
  return best;
}

import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { PartTree } from './part-tree.js';
import type { GapLimits } from './ball-reach.js';
import { cutterGap, type CutterGap } from './cutter-gap.js';
import { CROSSING_STRIDE, edgeLength, POINT_STRIDE, pointOnEdge } from './reach-kernels.js';

/**
 * Which points a cutter of any shape reaches.
 *
 * @param points (6 N) see `POINT_STRIDE`
 * @param profile the allowance left on the part included (`offsetProfile`)
 * @returns (N) reach radii as far as they can be told: Infinity reached, 0 not
 */
export function cutterReached(
  tree: PartTree,
  points: Float64Array,
  profile: CutterProfile,
  limits: GapLimits,
): Float64Array {
  const gaps = cutterGap(tree, profile, limits);
  const out = new Float64Array(points.length / POINT_STRIDE);
  for (let i = 0; i < out.length; i++) {
    const p = POINT_STRIDE * i;
    const gap = gapAt(gaps, points, p);
    out[i] = gap <= limits.toleranceMm ? Infinity : 0;
  }
  return out;
}

/**
 * Where along each edge reach begins: from its first end, which the cutter does not reach, to its second,
 * which it does. By halving: unlike a ball's, the gap of other shapes follows no law from which the border
 * could be guessed.
 *
 * @param edges (15 E) see `CROSSING_STRIDE`; reach radii and index are not used
 * @param accuracyMm how far the border may lie from the point given, along the edge
 * @returns (E) fraction of the edge, 0 .. 1
 */
export function cutterCrossings(
  tree: PartTree,
  edges: Float64Array,
  profile: CutterProfile,
  limits: GapLimits,
  accuracyMm: number,
): Float64Array {
  const gaps = cutterGap(tree, profile, limits);
  const point = new Float64Array(POINT_STRIDE);
  const out = new Float64Array(edges.length / CROSSING_STRIDE);
  for (let i = 0; i < out.length; i++) {
    const e = CROSSING_STRIDE * i;
    const length = edgeLength(edges, e);
    let low = 0,
      high = 1;
    while ((high - low) * length > 2 * accuracyMm) {
      const s = 0.5 * (low + high);
      pointOnEdge(edges, e, s, point);
      if (gapAt(gaps, point, 0) <= limits.toleranceMm) high = s;
      else low = s;
    }
    out[i] = 0.5 * (low + high);
  }
  return out;
}

function gapAt(gaps: CutterGap, points: Float64Array, p: number): number {
  return gaps.gap(points[p], points[p + 1], points[p + 2], points[p + 3], points[p + 4], points[p + 5]);
}

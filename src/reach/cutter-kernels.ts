import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { PartTree } from './part-tree.js';
import type { GapLimits } from './ball-reach.js';
import { cutterGap, type CutterGap } from './cutter-gap.js';
import { byPlace } from './place-order.js';
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

/** Places on an edge at which free places known are tried first. */
const TRIED = 16;
/** Halvings to where along an edge a free place known is near enough. */
const HALVINGS = 10;

/**
 * Where along each edge reach begins: from its first end, which the cutter does not reach, to its second,
 * which it does. One free place serves part of the edge, so what is known goes down to where it ends; mostly it is
 * the best there is, so a little before that is asked next, and if that is reached, too, halfway.
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
  for (const i of byPlace(edges, new Int32Array(out.length), CROSSING_STRIDE)) {
    const e = CROSSING_STRIDE * i;
    const isKnown = (s: number): boolean => {
      pointOnEdge(edges, e, s, point);
      return gaps.known(point[0], point[1], point[2]) <= limits.toleranceMm;
    };
    const isReached = (s: number): boolean => {
      pointOnEdge(edges, e, s, point);
      return gapAt(gaps, point, 0) <= limits.toleranceMm;
    };
    const accuracy = (0.99 * accuracyMm) / edgeLength(edges, e);
    let low = 0,
      high = lowestKnown(isKnown, 0, 1),
      isEnd = high < 1;
    while ((high - low) * edgeLength(edges, e) > accuracyMm) {
      const s = isEnd ? high - accuracy : 0.5 * (low + high);
      if (isReached(s)) high = lowestKnown(isKnown, low, s);
      else low = s;
      isEnd = high < 1 && !isEnd;
    }
    out[i] = high;
  }
  return out;
}

/** Lowest place that is known to be reached, from `high` down. */
function lowestKnown(isKnown: (s: number) => boolean, low: number, high: number): number {
  const step = (high - low) / TRIED;
  let first = 1;
  while (first < TRIED && !isKnown(low + first * step)) first++;
  let below = low + (first - 1) * step,
    known = low + first * step;
  if (first === TRIED && !isKnown(high)) return high;
  for (let i = 0; i < HALVINGS; i++) {
    const s = 0.5 * (below + known);
    if (isKnown(s)) known = s;
    else below = s;
  }
  return known;
}

function gapAt(gaps: CutterGap, points: Float64Array, p: number): number {
  return gaps.gap(points[p], points[p + 1], points[p + 2], points[p + 3], points[p + 4], points[p + 5]);
}

import { ballQuery } from '../spatial/ball-contact.js';
import type { PartTree } from '../spatial/part-tree.js';
import { ballGap, type BallGap, type GapLimits } from './ball-gap.js';

/**
 * Numbers per point asked about: position, unit normal, 1 if it lies inside a face (0: on an edge), and how far the
 * point may stand off the true surface, mm (the sagitta of its facet).
 */
export const POINT_STRIDE = 8;
/** Numbers per edge asked about: two points' positions and normals, their sagitta, index of the radius. */
export const CROSSING_STRIDE = 14;

/**
 * How many of the radii reach each point. Reach of ball-nose cutters is nested, so a binary search decides; the
 * largest is tried first, since most points of most parts are open to all.
 *
 * @param points (8 N) see `POINT_STRIDE`
 * @param radii ascending, mm, the allowance left on the part included
 * @returns (N) 0 .. radii.length
 */
export function reachedCounts(
  tree: PartTree, points: Float64Array, radii: Float64Array, limits: GapLimits,
): Uint8Array {
  const gaps = ballGap(ballQuery(tree), limits);
  const counts = new Uint8Array(points.length / POINT_STRIDE);
  for (let i = 0; i < counts.length; i++) {
    let low = 0, high = radii.length;
    for (let guess = high - 1; low < high; guess = (low + high) >> 1) {
      if (gapAt(gaps, points, POINT_STRIDE * i, radii[guess]) <= limits.toleranceMm) low = guess + 1;
      else high = guess;
    }
    counts[i] = low;
  }
  return counts;
}

/**
 * Largest radius that reaches each point, between two bounds.
 *
 * @param points (8 N)
 * @param bounds (2 N) mm: a radius known to reach (0 if none is), and one known not to (Infinity: nothing to find)
 * @returns (N) mm, within 0.004 mm + 0.4 %; the lower bound's own value where the upper is Infinity
 */
export function reachRadii(
  tree: PartTree, points: Float64Array, bounds: Float64Array, limits: GapLimits,
): Float64Array {
  const gaps = ballGap(ballQuery(tree), limits);
  const radii = new Float64Array(points.length / POINT_STRIDE);
  for (let i = 0; i < radii.length; i++) {
    const low = bounds[2 * i], high = bounds[2 * i + 1];
    if (high === Infinity) {
      radii[i] = low;
      continue;
    }
    const span = high - low;
    const excess = (s: number): number => {
      const radius = high - s * span;
      return excessOf(gapAt(gaps, points, POINT_STRIDE * i, radius), radius, limits.toleranceMm);
    };
    radii[i] = high - span * whereReached(excess, (0.004 + 0.004 * low) / span);
  }
  return radii;
}

/**
 * Gap of one cutter at each point.
 *
 * @param points (8 N)
 * @param radius mm
 * @returns (N) mm; above the tolerance a lower bound; Infinity where no place nearby is free
 */
export function gapsAt(tree: PartTree, points: Float64Array, radius: number, limits: GapLimits): Float64Array {
  const gaps = ballGap(ballQuery(tree), limits);
  const out = new Float64Array(points.length / POINT_STRIDE);
  for (let i = 0; i < out.length; i++) out[i] = gapAt(gaps, points, POINT_STRIDE * i, radius);
  return out;
}

/**
 * Where along each edge the gap passes the tolerance: from its first end, which the cutter does not reach, to its
 * second, which it does.
 *
 * @param edges (14 E) see `CROSSING_STRIDE`
 * @param radii mm
 * @param accuracyMm how far the border may lie from the point given, along the edge
 * @returns (E) fraction of the edge, 0 .. 1
 */
export function reachCrossings(
  tree: PartTree, edges: Float64Array, radii: Float64Array, limits: GapLimits, accuracyMm: number,
): Float64Array {
  const gaps = ballGap(ballQuery(tree), limits);
  const point = new Float64Array(POINT_STRIDE);
  const out = new Float64Array(edges.length / CROSSING_STRIDE);
  for (let i = 0; i < out.length; i++) {
    const e = CROSSING_STRIDE * i, radius = radii[edges[e + 13]];
    const excess = (s: number): number => {
      pointOnEdge(edges, e, s, point);
      return excessOf(gapAt(gaps, point, 0, radius), radius, limits.toleranceMm);
    };
    out[i] = whereReached(excess, accuracyMm / edgeLength(edges, e));
  }
  return out;
}

/**
 * How far a gap exceeds the tolerance, in a measure that beside two planes is linear in the place and nearly so in the
 * radius: the root of g² + 2 R g, less that of the tolerance. Infinity for no free place; positive: not reached.
 */
function excessOf(gap: number, radius: number, tolerance: number): number {
  if (gap === Infinity) return Infinity;
  return Math.sqrt(gap * gap + 2 * radius * gap) - Math.sqrt(tolerance * tolerance + 2 * radius * tolerance);
}

/**
 * Where between 0, known not to be reached, and 1, known to be, the excess passes 0. Halves; but once it knows two
 * positive values it extrapolates and brackets the answer, which mostly settles it.
 *
 * @param accuracy the answer's error is at most this
 */
function whereReached(excess: (s: number) => number, accuracy: number): number {
  let low = 0, high = 1;
  // A wide bracket is worth a value at its start, to extrapolate from.
  let atLow = accuracy < 1 / 16 ? excess(0) : Infinity;
  while (high - low > 2 * accuracy) {
    const s = 0.5 * (low + high);
    const value = excess(s);
    if (!(value > 0)) {
      high = s;
      continue;
    }
    const guess = s + (value * (s - low)) / (atLow - value);
    low = s;
    atLow = value;
    if (!(guess > s && guess < high) || high - low <= 2 * accuracy) continue;
    const beyond = Math.min(guess + accuracy, 0.5 * (guess + high));
    const there = excess(beyond);
    if (there > 0) {
      low = beyond;
      atLow = there;
      continue;
    }
    high = beyond;
    const before = guess - accuracy;
    if (before <= low) continue;
    const here = excess(before);
    if (here > 0) {
      low = before;
      atLow = here;
    } else {
      high = before;
    }
  }
  return 0.5 * (low + high);
}

function gapAt(gaps: BallGap, points: Float64Array, i: number, radius: number): number {
  return gaps.gap(
    points[i], points[i + 1], points[i + 2], points[i + 3], points[i + 4], points[i + 5], radius, points[i + 6] === 1,
    points[i + 7],
  );
}

/** Length of the edge asked about at offset e, mm. */
export function edgeLength(edges: Float64Array, e: number): number {
  const x = edges[e + 6] - edges[e], y = edges[e + 7] - edges[e + 1], z = edges[e + 8] - edges[e + 2];
  return Math.sqrt(x * x + y * y + z * z);
}

/** The point at fraction s of the edge at offset e, with the interpolated normal made unit. @param out (8) */
export function pointOnEdge(edges: Float64Array, e: number, s: number, out: Float64Array): void {
  for (let k = 0; k < 6; k++) out[k] = edges[e + k] + s * (edges[e + 6 + k] - edges[e + k]);
  const length = Math.sqrt(out[3] * out[3] + out[4] * out[4] + out[5] * out[5]);
  if (length > 0) for (let k = 3; k < 6; k++) out[k] /= length;
  out[6] = 1;
  out[7] = edges[e + 12];
}

import { fitCircle } from '../core/fit-circle.js';
import { furthest } from '../core/furthest.js';

/**
 * A closed or open path of straight lines and arcs in plan. The bulge of a side is tan(sweep / 4) of its arc,
 * positive counter-clockwise, 0 for a straight line (DXF's word).
 */
export interface ArcPath {
  /** (2 N) mm, y up; the first point of a closed path is not repeated */
  readonly points: Float64Array;
  /** (N) of the side that leaves each point; the last is 0 on an open path */
  readonly bulges: Float64Array;
  readonly closed: boolean;
}

/** How far lines and arcs may stray from the ring, mm. */
export const FIT_TOLERANCE_MM = 0.025;
/** Larger radii are straight enough, mm. */
const LARGEST_RADIUS_MM = 5000;

/** An arc takes the place of this many straight sides at least: fewer fit by chance. */
const FEWEST_SIDES = 4;

/**
 * Lines and arcs that follow a closed ring within the tolerance, as long as they can be; a ring that is a
 * circle comes out as two half circles. Points stay on the ring except on full circles, where they lie on the
 * best circle.
 *
 * @param ring (2 N) mm, N of at least 3
 */
export function fitArcs(ring: Float64Array): ArcPath {
  if (ring.length < 6) throw new RangeError(`fitArcs: ${ring.length / 2} points, expected 3 or more`);
  const circle = wholeCircle(ring);
  if (circle !== null) return circle;
  const turned = fromLongestSide(ring);
  const count = ring.length / 2;
  const points: number[] = [],
    bulges: number[] = [];
  for (let i = 0; i < count; ) {
    const { last, bulge } = longestArc(turned, i);
    points.push(turned[2 * i], turned[2 * i + 1]);
    bulges.push(bulge);
    i = last;
  }
  return { points: Float64Array.from(points), bulges: Float64Array.from(bulges), closed: true };
}

/**
 * The ring with its first point repeated, beginning where its longest side does: at a joint, if it has any.
 */
function fromLongestSide(ring: Float64Array): Float64Array {
  let first = 0,
    longest = -1;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const square = (ring[j] - ring[i]) ** 2 + (ring[j + 1] - ring[i + 1]) ** 2;
    // A little longer is not longer: else rounding picks the joint of a ring of equal sides.
    if (square > longest * (1 + 1e-6)) [first, longest] = [i, square];
  }
  const turned = new Float64Array(ring.length + 2);
  for (let i = 0; i < turned.length; i++) turned[i] = ring[(first + i) % ring.length];
  return turned;
}

/** The arc from point `first` that reaches furthest; else the straight side to the next point. */
function longestArc(points: Float64Array, first: number): { last: number; bulge: number } {
  const end = points.length / 2 - 1;
  let best = { last: first + 1, bulge: 0 };
  if (first + FEWEST_SIDES > end) return best;
  const grow = (last: number): boolean => {
    const bulge = arcThrough(points, first, last);
    if (bulge !== null) best = { last, bulge };
    return bulge !== null;
  };
  if (grow(first + FEWEST_SIDES)) furthest(first, FEWEST_SIDES, end, grow);
  return best;
}

/**
 * Bulge of the arc between two points of a path that fits those between best, at most half a turn; null if
 * none is near enough. In axes along and across the chord (half length c) circles through both ends have
 * centre (0, k), and x² + y² − 2 k y = c² is linear in k: the algebraic least-squares fit.
 */
function arcThrough(points: Float64Array, first: number, last: number): number | null {
  const ax = points[2 * first],
    ay = points[2 * first + 1];
  const dx = points[2 * last] - ax,
    dy = points[2 * last + 1] - ay;
  const chord = Math.sqrt(dx * dx + dy * dy);
  if (chord === 0) return null;
  const ux = dx / chord,
    uy = dy / chord,
    c = chord / 2;
  let above = 0,
    below = 0;
  for (let i = first + 1; i < last; i++) {
    const px = points[2 * i] - ax,
      py = points[2 * i + 1] - ay;
    const x = px * ux + py * uy - c,
      y = py * ux - px * uy;
    above += y * (x * x + y * y - c * c);
    below += 2 * y * y;
  }
  if (below === 0) return null;
  const k = above / below,
    radius = Math.sqrt(k * k + c * c);
  if (radius > LARGEST_RADIUS_MM) return null;
  const centreX = ax + c * ux - k * uy,
    centreY = ay + c * uy + k * ux;
  const sweep = sweepAlong(points, first, last, centreX, centreY, radius);
  // The fit knows only one of the two arcs over the chord: half a turn at most.
  return sweep === null || Math.abs(sweep) > Math.PI * (1 + 1e-6) ? null : Math.tan(sweep / 4);
}

/** Turn about the centre from `first` to `last`; null if a point or the middle of a side is off the circle, or if
 * the way goes back and forth. */
function sweepAlong(
  points: Float64Array,
  first: number,
  last: number,
  cx: number,
  cy: number,
  radius: number,
): number | null {
  let sweep = 0;
  for (let i = first; i < last; i++) {
    const ax = points[2 * i] - cx,
      ay = points[2 * i + 1] - cy;
    const bx = points[2 * i + 2] - cx,
      by = points[2 * i + 3] - cy;
    const mx = (ax + bx) / 2,
      my = (ay + by) / 2;
    if (Math.abs(Math.sqrt(bx * bx + by * by) - radius) > FIT_TOLERANCE_MM) return null;
    if (Math.abs(Math.sqrt(mx * mx + my * my) - radius) > FIT_TOLERANCE_MM) return null;
    const step = Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
    if (step === 0 || (step > 0 !== sweep >= 0 && sweep !== 0)) return null;
    sweep += step;
  }
  return sweep;
}

function wholeCircle(ring: Float64Array): ArcPath | null {
  const count = ring.length / 2;
  if (count < 2 * FEWEST_SIDES) return null;
  const { x, y, radius } = fitCircle(ring);
  if (!(radius <= LARGEST_RADIUS_MM)) return null;
  const closed = new Float64Array(ring.length + 2);
  closed.set(ring);
  closed.set(ring.subarray(0, 2), ring.length);
  const start = Math.sqrt((ring[0] - x) ** 2 + (ring[1] - y) ** 2);
  if (Math.abs(start - radius) > FIT_TOLERANCE_MM) return null;
  const sweep = sweepAlong(closed, 0, count, x, y, radius);
  if (sweep === null || Math.abs(Math.abs(sweep) - 2 * Math.PI) > 1e-6) return null;
  const bulge = Math.sign(sweep);
  return {
    points: Float64Array.of(x - radius, y, x + radius, y),
    bulges: Float64Array.of(bulge, bulge),
    closed: true,
  };
}

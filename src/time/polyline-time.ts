import type { Machine } from './machine.js';
import { blockTimeCap, centripetalCap, cornerRadius, rampSeconds } from './segment-time.js';

/** The figures of a machine that act on a path. */
export type PathDynamics = Pick<
  Machine,
  'accelerationMmPerS2' | 'jerkMmPerS3' | 'blockTimeMs' | 'cornerToleranceMm'
>;

/**
 * Time to run along a polyline from rest to rest, s, looking ahead along all of it.
 *
 * Each block is held to the feed and to the block time; at each corner the speed is held to what an arc
 * within the corner tolerance, no longer than half a block either side, allows. Between them the speed
 * changes at the acceleration; a limited jerk lowers it to the mean acceleration of a ramp to the feed (exact
 * for one long block).
 *
 * @param points (3 N) mm; N < 2 gives 0
 * @returns s, never below length over feed
 */
export function polylineSeconds(points: Float64Array, feedMmPerMin: number, dynamics: PathDynamics): number {
  if (!(feedMmPerMin > 0)) throw new RangeError(`polylineSeconds: feed ${feedMmPerMin}, expected > 0`);
  const { lengths, turns } = measure(points);
  const count = lengths.length;
  if (count === 0) return 0;
  const feed = feedMmPerMin / 60;
  const acceleration = feed / rampSeconds(feed, dynamics);
  const caps = lengths.map((length) => Math.min(feed, blockTimeCap(length, dynamics.blockTimeMs) / 60));
  const speeds = new Float64Array(count + 1);
  for (let i = 1; i < count; i++) {
    const room = Math.min(lengths[i - 1], lengths[i]) / (2 * Math.tan(turns[i] / 2));
    const radius = Math.min(cornerRadius(turns[i], dynamics.cornerToleranceMm), room);
    const corner = centripetalCap(radius, dynamics.accelerationMmPerS2) / 60;
    const gained = Math.sqrt(speeds[i - 1] ** 2 + 2 * acceleration * lengths[i - 1]);
    speeds[i] = Math.min(caps[i - 1], caps[i], corner, gained);
  }
  for (let i = count - 1; i > 0; i--) {
    speeds[i] = Math.min(speeds[i], Math.sqrt(speeds[i + 1] ** 2 + 2 * acceleration * lengths[i]));
  }
  let seconds = 0;
  for (let i = 0; i < count; i++) {
    seconds += blockSeconds(lengths[i], caps[i], speeds[i], speeds[i + 1], acceleration);
  }
  return seconds;
}

/** Time over one block entered at speed `v0`, left at `v1`, never faster than `cap`; mm, mm/s, mm/s². */
function blockSeconds(length: number, cap: number, v0: number, v1: number, a: number): number {
  const peak = Math.max(v0, v1, Math.min(cap, Math.sqrt((v0 * v0 + v1 * v1) / 2 + a * length)));
  const ramps = (2 * peak * peak - v0 * v0 - v1 * v1) / (2 * a);
  return (2 * peak - v0 - v1) / a + Math.max(0, length - ramps) / peak;
}

/** Lengths of the blocks, points in the same place left out, and the turn before each. */
function measure(points: Float64Array): { lengths: Float64Array; turns: Float64Array } {
  const lengths: number[] = [],
    turns: number[] = [];
  let px = 0,
    py = 0,
    pz = 0;
  for (let i = 3; i < points.length; i += 3) {
    const x = points[i] - points[i - 3],
      y = points[i + 1] - points[i - 2],
      z = points[i + 2] - points[i - 1];
    const length = Math.sqrt(x * x + y * y + z * z);
    if (length === 0) continue;
    const cx = py * z - pz * y,
      cy = pz * x - px * z,
      cz = px * y - py * x;
    // The first block has no turn before it: the cross and dot products with the zero vector give 0.
    turns.push(Math.atan2(Math.sqrt(cx * cx + cy * cy + cz * cz), px * x + py * y + pz * z));
    lengths.push(length);
    px = x;
    py = y;
    pz = z;
  }
  return { lengths: Float64Array.from(lengths), turns: Float64Array.from(turns) };
}

import type { Machine } from './machine.js';

/** How fast the axes may change speed. */
export type Dynamics = Pick<Machine, 'accelerationMmPerS2' | 'jerkMmPerS3'>;

/** Time without any dynamics: length over feed, s. */
export const naiveSeconds = (lengthMm: number, feedMmPerMin: number): number =>
  (60 * lengthMm) / feedMmPerMin;

/**
 * Time to get from rest to a speed, s: `v/a` for a trapezoid; `v/a + a/j` for an S-curve that reaches the
 * full acceleration; `2 √(v/j)` for one that does not. The way covered meanwhile is half of speed times time.
 */
export function rampSeconds(speedMmPerS: number, dynamics: Dynamics): number {
  const { accelerationMmPerS2: a, jerkMmPerS3: j } = dynamics;
  if (j === null) return speedMmPerS / a;
  return speedMmPerS * j >= a * a ? speedMmPerS / a + a / j : 2 * Math.sqrt(speedMmPerS / j);
}

/**
 * Highest speed of a move from rest to rest: the feed, or where the move is too short for it, the speed at
 * which speeding up and slowing down use all its length.
 *
 * @returns mm/s
 */
export function peakSpeed(lengthMm: number, feedMmPerMin: number, dynamics: Dynamics): number {
  const feed = feedMmPerMin / 60;
  if (feed * rampSeconds(feed, dynamics) <= lengthMm) return feed;
  const { accelerationMmPerS2: a, jerkMmPerS3: j } = dynamics;
  if (j === null) return Math.sqrt(a * lengthMm);
  const full = (a / 2) * (Math.sqrt((a * a) / (j * j) + (4 * lengthMm) / a) - a / j);
  return full * j >= a * a ? full : Math.cbrt((lengthMm * lengthMm * j) / 4);
}

/**
 * Time of a straight move from rest to rest, s (textbook kinematics).
 *
 * @param lengthMm >= 0; 0 gives 0
 * @param feedMmPerMin > 0
 * @throws {RangeError} outside those ranges
 */
export function restToRestSeconds(lengthMm: number, feedMmPerMin: number, dynamics: Dynamics): number {
  if (!(lengthMm >= 0 && feedMmPerMin > 0)) {
    throw new RangeError(`restToRestSeconds: length ${lengthMm} (>= 0), feed ${feedMmPerMin} (> 0)`);
  }
  if (lengthMm === 0) return 0;
  const peak = peakSpeed(lengthMm, feedMmPerMin, dynamics);
  return lengthMm / peak + rampSeconds(peak, dynamics);
}

/** Speed that one block per `blockTimeMs` allows, mm/min; `Infinity` for a block time of 0. */
export const blockTimeCap = (blockMm: number, blockTimeMs: number): number =>
  (60_000 * blockMm) / blockTimeMs;

/** Speed on a circle at which the acceleration towards its centre is all used up: `√(a ρ)`, mm/min. */
export const centripetalCap = (radiusMm: number, accelerationMmPerS2: number): number =>
  60 * Math.sqrt(accelerationMmPerS2 * radiusMm);

/**
 * Radius of the arc that rounds a corner and stays within a tolerance of its tip: `e / (1/cos(φ/2) - 1)`, mm.
 *
 * @param turnRad change of direction φ, 0 (straight: `Infinity`) to pi (back: 0)
 */
export function cornerRadius(turnRad: number, toleranceMm: number): number {
  const half = Math.min(Math.PI, Math.abs(turnRad)) / 2;
  const cosine = Math.cos(half);
  if (cosine < 1e-12) return 0;
  // 1/cos - 1 written so that small turns keep their digits.
  const sine = Math.sin(half / 2);
  return (toleranceMm * cosine) / (2 * sine * sine);
}

/**
 * Speed at which a corner can be rounded within a tolerance, mm/min: `√(a R)` on the arc of `cornerRadius`.
 */
export const cornerCap = (turnRad: number, toleranceMm: number, accelerationMmPerS2: number): number =>
  centripetalCap(cornerRadius(turnRad, toleranceMm), accelerationMmPerS2);

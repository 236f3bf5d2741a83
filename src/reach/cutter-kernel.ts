import { profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';

/** A cutter sampled at a pitch. Index of tap (ux, uy): `(uy + reach) * (2 reach + 1) + ux + reach`. */
export interface CutterKernel {
  readonly pitchMm: number;
  /** Nodes from the axis to the farthest tap. */
  readonly reach: number;
  /** g at each tap, mm; `Infinity` off the cutter */
  readonly heights: Float64Array;
  /** Greatest finite height, mm. */
  readonly tallest: number;
  /** (2 reach + 1) half-width in nodes of each line of taps */
  readonly half: Int32Array;
  /**
   * g(u - e_x) - g(u) at each tap, falling along x; `Infinity` where u - e_x is off the cutter, `-Infinity`
   * where u is
   */
  readonly steps: Float64Array;
  /** (2 reach + 1) greatest step of all taps at each x and beyond; bounds ux where uy is not known */
  readonly greatestSteps: Float64Array;
}

/**
 * Samples the cutter. @throws {RangeError} unless the pitch is positive, or where the kernel has more than
 * 2^24 taps
 */
export function cutterKernel(profile: CutterProfile, pitchMm: number): CutterKernel {
  if (!(pitchMm > 0 && Number.isFinite(pitchMm))) throw new RangeError(`cutterKernel: pitch ${pitchMm}`);
  const reach = Math.floor(profile.radiusMm / pitchMm);
  const size = 2 * reach + 1;
  if (size * size > 1 << 24)
    throw new RangeError(`cutterKernel: ${size} x ${size} taps, expected at most 2^24`);
  const heights = new Float64Array(size * size);
  const half = new Int32Array(size).fill(-1);
  let tallest = 0;
  for (let k = 0; k < heights.length; k++) {
    const ux = (k % size) - reach,
      uy = Math.floor(k / size) - reach;
    const height = profileHeight(profile, pitchMm * Math.sqrt(ux * ux + uy * uy));
    heights[k] = height;
    if (height === Infinity) continue;
    if (height > tallest) tallest = height;
    if (ux > half[uy + reach]) half[uy + reach] = ux;
  }
  const steps = new Float64Array(size * size);
  for (let k = 0; k < steps.length; k++) {
    const before = k % size === 0 ? Infinity : heights[k - 1];
    steps[k] = heights[k] === Infinity ? -Infinity : before - heights[k];
  }
  const greatestSteps = new Float64Array(size).fill(-Infinity);
  for (let k = 0; k < steps.length; k++) {
    if (steps[k] > greatestSteps[k % size]) greatestSteps[k % size] = steps[k];
  }
  for (let i = size - 2; i >= 0; i--) greatestSteps[i] = Math.max(greatestSteps[i], greatestSteps[i + 1]);
  return { pitchMm, reach, heights, tallest, half, steps, greatestSteps };
}

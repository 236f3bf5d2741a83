import { checkCutter } from './scallop.js';
import type { CutterShape } from './finishing-surface.js';
import type { Machine } from './machine.js';

/**
 * Largest diameter of the cutter in the material: what the cutting speed is reckoned at.
 * `2 (Rm + RE sin min(90°, θ + arccos(1 - ap/RE)))`; a ball on a floor gives the printed `2 √(ap (DC - ap))`.
 *
 * @param apMm thickness of material taken off, square to the surface, >= 0
 * @param wallAngleRad θ, 0 (default) to pi/2
 * @returns mm, up to DC
 * @throws {RangeError} for a cutter that cannot exist, or a negative thickness
 */
export function engagedDiameter(cutter: CutterShape, apMm: number, wallAngleRad = 0): number {
  checkCutter('engagedDiameter', cutter.DC, cutter.RE);
  if (!(apMm >= 0)) throw new RangeError(`engagedDiameter: thickness ${apMm}, expected >= 0`);
  const { DC, RE } = cutter;
  if (apMm >= RE) return DC;
  const angle = Math.min(Math.PI / 2, wallAngleRad + Math.acos(1 - apMm / RE));
  return DC - 2 * RE * (1 - Math.sin(angle));
}

/** `n = 1000 vc / (π D)`, rev/min; vc in m/min, D in mm > 0. Quantities of ISO 3002-3 (from memory). */
export const spindleSpeed = (vcMPerMin: number, diameterMm: number): number =>
  (1000 * vcMPerMin) / (Math.PI * diameterMm);

/**
 * Greatest chip thickness over the feed per tooth, for a straight edge of a cutter of diameter `diameterMm`
 * that is engaged `aeMm` sideways: `2 √(x (1 - x))`, `x = ae/D`; 1 from half the diameter up.
 */
export function chipThinning(diameterMm: number, aeMm: number): number {
  if (!(diameterMm > 0 && aeMm > 0)) {
    throw new RangeError(`chipThinning: ${diameterMm}, ${aeMm}, expected > 0`);
  }
  const x = aeMm / diameterMm;
  return x >= 0.5 ? 1 : 2 * Math.sqrt(x * (1 - x));
}

/** What the cutter's maker allows for one material and stage. */
export interface CuttingSpeed {
  readonly vcMPerMin: number;
  readonly fzMm: number;
  /** `programmed`: fz goes into the feed as it stands; `chip-thickness`: fz is what the chip may reach. */
  readonly fzMeans: 'programmed' | 'chip-thickness';
}

/** How the cutter stands in the material. */
export interface Engagement {
  /** thickness taken off, square to the surface, mm */
  readonly apMm: number;
  /** sideways step on the surface, mm; used where fz means the chip thickness */
  readonly aeMm: number;
  /**
   * steepest wall angle of the pass: one spindle speed serves the whole pass, and must not be too fast
   * anywhere
   */
  readonly wallAngleRad: number;
}

/**
 * Spindle speed and feed of a pass: `n = 1000 vc / (π Deff)` and `vf = n NOF fz`, both held to the machine's
 * limits. Planning figures: the limits of the cutter's maker come first.
 */
export function spindleAndFeed(
  cutter: CutterShape & { readonly NOF: number },
  speed: CuttingSpeed,
  engagement: Engagement,
  limits: Pick<Machine, 'maxRpm' | 'maxFeedMmPerMin'>,
): { readonly rpm: number; readonly feedMmPerMin: number } {
  const engagedDiameterMm = engagedDiameter(cutter, engagement.apMm, engagement.wallAngleRad);
  const rpm = Math.min(spindleSpeed(speed.vcMPerMin, Math.max(engagedDiameterMm, 1e-6)), limits.maxRpm);
  const thinning = speed.fzMeans === 'programmed' ? 1 : chipThinning(cutter.DC, engagement.aeMm);
  const feed = (rpm * cutter.NOF * speed.fzMm) / thinning;
  return { rpm, feedMmPerMin: Math.min(feed, limits.maxFeedMmPerMin) };
}

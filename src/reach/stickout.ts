import { tick, type Context } from '../core/context.js';
import { liftOver, type BlockMaxima } from './grid-queries.js';
import type { Cutter, HolderPart } from '../cutter/catalogue.js';

/**
 * How far a cutter must stick out of its holder to work at given places.
 *
 *      |   holder   |         what is above the tip, by height:
 *       \__________/          0 to APMX    cutting edge, DC
 *          | DMM |            APMX to LU   neck, DN
 *          |_   _|  LU        above LU     shank, DMM
 *            |DN|             above the stickout: the holder's cylinders and cones
 *           |    |  APMX
 *           |_DC_|  tip
 *
 * A planning aid: deflection, runout, spindle nose and clamps are not in it. Verify by simulation and at the
 * machine.
 */
export interface Stickout {
  /** Least length out of the holder, mm: what holder and shank need, at least APMX. */
  readonly stickoutMm: number;
  /** What sets it. */
  readonly limitedBy: 'holder' | 'shank' | 'cutting-edge';
  /** Index of the tip position that sets it; -1 where the cutting edge does. */
  readonly position: number;
  /** It is more than the LU of this cutter: the regions need a longer one. */
  readonly exceedsUsable: boolean;
  /** A neck wider than DC would touch the part above APMX. */
  readonly neckTouches: boolean;
  /** Stickout over DC: L/D. */
  readonly lengthToDiameter: number;
  /** Tip deflection under the same force, as a multiple of that at a stickout of 3 DC: (L/D)³/27. */
  readonly deflectionRatio: number;
}

/**
 * Deflection of a cantilever grows with L³/D⁴; at equal D that leaves (L/D)³ against 3³ (beam theory, I =
 * πD⁴/64).
 */
export function deflectionRatio(lengthMm: number, diameterMm: number): number {
  return (lengthMm / diameterMm / 3) ** 3;
}

/**
 * Height above the holder's lower face at which it first reaches a given radius, as a non-decreasing function
 * of that radius; what lies in the shadow of a wider part below does not count.
 *
 * @returns `Infinity` beyond the widest part
 */
export function holderUnderside(holder: readonly HolderPart[]): (radiusMm: number) => number {
  // Pairs of radius and height along the outline, only where the radius grows.
  const steps: {
    readonly from: number;
    readonly to: number;
    readonly base: number;
    readonly perMm: number;
  }[] = [];
  let widest = 0,
    base = 0;
  for (const { diameterMm, topDiameterMm, lengthMm } of holder) {
    const low = diameterMm / 2,
      high = topDiameterMm / 2;
    if (low > widest) steps.push({ from: widest, to: low, base, perMm: 0 });
    widest = Math.max(widest, low);
    if (high > widest) {
      const perMm = lengthMm / (high - low);
      steps.push({ from: widest, to: high, base: base + (widest - low) * perMm, perMm });
      widest = high;
    }
    base += lengthMm;
  }
  return (radiusMm) => {
    for (const { from, to, base: height, perMm } of steps) {
      if (radiusMm <= to) return height + Math.max(0, radiusMm - from) * perMm;
    }
    return Infinity;
  };
}

/** Widest radius of a holder, mm; 0 for none. */
function holderRadiusMm(holder: readonly HolderPart[]): number {
  return holder.reduce((widest, part) => Math.max(widest, part.diameterMm / 2, part.topDiameterMm / 2), 0);
}

/**
 * Least stickout with which a cutter can stand at all of the given places.
 *
 * The cutter itself, with a shaft of DC, must fit there (that is what reach means), so only what is wider
 * than DC can touch. Heights of the part are upper bounds: never too short, too long by what the part rises
 * within a cell.
 *
 * @param cutter an empty holder is not checked
 * @param maxima of the upper bounds of a grid that covers the part
 * @param tips (3 P) tip of the cutter at each place, mm
 * @param clearanceMm air kept around neck, shank and holder, sideways and upwards
 * @throws {RangeError} for a length of `tips` not divisible by 3, or a clearance below 0
 */
export function leastStickout(
  cutter: Cutter,
  maxima: BlockMaxima,
  tips: Float64Array,
  clearanceMm = 0,
  context: Context = {},
): Stickout {
  if (tips.length % 3 !== 0)
    throw new RangeError(`leastStickout: ${tips.length} coordinates, expected 3 for each tip`);
  if (!(clearanceMm >= 0 && Number.isFinite(clearanceMm))) {
    throw new RangeError(`leastStickout: clearance ${clearanceMm} mm, expected 0 or more`);
  }
  const underside = holderUnderside(cutter.holder);
  const holder = clearLength(
    maxima,
    tips,
    holderRadiusMm(cutter.holder),
    underside,
    clearanceMm,
    cutter.APMX,
    context,
  );
  const shank =
    cutter.DMM > cutter.DC
      ? clearLength(maxima, tips, cutter.DMM / 2, () => 0, clearanceMm, cutter.APMX, context)
      : { lengthMm: cutter.APMX, position: -1 };
  const neckTouches =
    cutter.DN > cutter.DC &&
    clearLength(maxima, tips, cutter.DN / 2, () => 0, clearanceMm, cutter.APMX, context).position >= 0;
  const longest = shank.lengthMm > holder.lengthMm ? shank : holder;
  const limitedBy = longest.position < 0 ? 'cutting-edge' : longest === shank ? 'shank' : 'holder';
  return {
    stickoutMm: longest.lengthMm,
    limitedBy,
    position: longest.position,
    exceedsUsable: longest.lengthMm > cutter.LU,
    neckTouches,
    lengthToDiameter: longest.lengthMm / cutter.DC,
    deflectionRatio: deflectionRatio(longest.lengthMm, cutter.DC),
  };
}

/**
 * Length above the tip from which a solid of revolution clears the part at every place, but at least
 * `leastMm`.
 */
function clearLength(
  maxima: BlockMaxima,
  tips: Float64Array,
  radiusMm: number,
  underside: (radiusMm: number) => number,
  clearanceMm: number,
  leastMm: number,
  context: Context,
): { readonly lengthMm: number; readonly position: number } {
  let lengthMm = leastMm,
    position = -1;
  if (radiusMm === 0) return { lengthMm, position };
  const widened =
    clearanceMm === 0 ? underside : (d: number): number => underside(Math.max(0, d - clearanceMm));
  const count = tips.length / 3;
  for (let p = 0; p < count; p++) {
    if ((p & 0xfff) === 0) tick(context, 'stickout', p / count);
    const z = tips[3 * p + 2];
    // Rounding of z + length must not let a place that only equals the longest so far count as longer.
    const known = z + lengthMm - clearanceMm + 1e-9;
    const lift = liftOver(maxima, tips[3 * p], tips[3 * p + 1], radiusMm + clearanceMm, widened, known);
    if (lift <= known) continue;
    lengthMm = lift - z + clearanceMm;
    position = p;
  }
  return { lengthMm, position };
}

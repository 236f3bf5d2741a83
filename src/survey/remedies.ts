import type { Plan, Remedy } from '../plan/plan.js';

/** What makes a place that milling, or the catalogue, does not. All limits here: common practice, no source. */

/** Balls of less are hardly sold, mm. */
export const LEAST_BALL_MM = 0.1;
/** A bench hand gets at what lies no deeper, mm, and is no larger, mm². */
export const HAND_DEPTH_MM = 10;
export const HAND_AREA_MM2 = 20;

/** A place that some cutter would get into, if it were small, slender or long enough. */
export interface TightSpot {
  /** the largest balls that get into all and into most of it, mm, without the allowance; Infinity: any, 0: sharp */
  readonly radiusMm: number;
  readonly mostlyMm: number;
  readonly depthMm: number;
  readonly areaMm2: number;
  /** it has level ground */
  readonly isLevel: boolean;
  /** the catalogue has no flat end, and one would not be too slender there */
  readonly takesFlatEnd: boolean;
}

/** Length out of the holder of a ball of a radius, mm. */
export type BallReach = (radiusMm: number) => number;

const NONE: Omit<Remedy, 'kind'> = { radiusMm: null, reachMm: null, lengthToDiameter: null, wayUp: null };
const plain = (kind: Remedy['kind']): Remedy => ({ ...NONE, kind });

/** Of two radii that differ by less, one ball does it all. */
const SAME_SHARE = 0.9;

/**
 * A smaller ball, as long as it is not too slender, and for what that leaves along a floor a flat end; else a flat end,
 * work on the bench where the place is shallow and small, or EDM. A sharp corner may lie in the joint of a split insert.
 */
export function tightRemedies(spot: TightSpot, reachOf: BallReach, mostLengthToDiameter: number): Remedy[] {
  const { radiusMm, mostlyMm, depthMm, areaMm2, isLevel, takesFlatEnd } = spot;
  const bench = plain(depthMm <= HAND_DEPTH_MM && areaMm2 <= HAND_AREA_MM2 ? 'hand' : 'edm');
  const flatEnd = isLevel && takesFlatEnd ? [plain('flat-end')] : [];
  if (mostlyMm === Infinity) return [plain('ball'), ...flatEnd];
  const ball = mostlyMm >= LEAST_BALL_MM ? ballWithin(mostlyMm, reachOf, mostLengthToDiameter) : [];
  if (ball.length === 0)
    return [...flatEnd, bench, ...(radiusMm < LEAST_BALL_MM ? [plain('split-insert')] : [])];
  if (radiusMm >= SAME_SHARE * mostlyMm) return ball;
  return [...ball, isLevel ? plain('flat-end') : bench];
}

/**
 * A larger ball, where one that is not too slender gets into most of it; the rest, or all of it, by EDM, or as a split
 * of the part.
 *
 * @param radiusMm of the largest that gets into most of it
 */
export function deepRemedies(
  radiusMm: number,
  fittingRadiusMm: number,
  reachOf: BallReach,
  mostLengthToDiameter: number,
): Remedy[] {
  const isLarger = radiusMm > fittingRadiusMm && radiusMm < Infinity;
  const ball = isLarger ? ballWithin(radiusMm, reachOf, mostLengthToDiameter) : [];
  return [...ball, plain('edm'), plain('split-insert')];
}

function ballWithin(radiusMm: number, reachOf: BallReach, mostLengthToDiameter: number): Remedy[] {
  const reachMm = reachOf(radiusMm),
    lengthToDiameter = reachMm / (2 * radiusMm);
  return lengthToDiameter <= mostLengthToDiameter
    ? [{ ...NONE, kind: 'ball', radiusMm, reachMm, lengthToDiameter }]
    : [];
}

/** The cutter that finishes it, with more length. */
export const longerCutter = (reachMm: number, lengthToDiameter: number): Remedy => ({
  ...NONE,
  kind: 'longer-cutter',
  reachMm,
  lengthToDiameter,
});

/** What no tool from above sees: the set-up that adds to this one, if any does; in a mould a side action. */
export const undercutRemedies = ({ waysUp: { ways, second } }: Pick<Plan, 'waysUp'>): Remedy[] => [
  ...(second === null ? [] : [{ ...NONE, kind: 'set-up' as const, wayUp: ways[second.way].name }]),
  plain('side-action'),
];

import type { Plan, Remedy } from '../plan/plan.js';

/** What makes a place that milling, or the catalogue, does not. All limits here: common practice, no source. */

/** Balls of less are hardly sold, mm. */
export const LEAST_BALL_MM = 0.1;
/** A bench hand gets at what lies no deeper, mm, and is no larger, mm². */
export const HAND_DEPTH_MM = 10;
export const HAND_AREA_MM2 = 20;

/** A place that some cutter would get into, if it were small, slender or long enough. */
export interface TightSpot {
  /** the largest ball that gets into all of it, mm, without the allowance; Infinity: any, 0: sharp */
  readonly radiusMm: number;
  readonly depthMm: number;
  readonly areaMm2: number;
  /** it has level ground, and the catalogue no flat end for that */
  readonly takesFlatEnd: boolean;
}

/** Length out of the holder of a ball of a radius, mm. */
export type BallReach = (radiusMm: number) => number;

const NONE: Omit<Remedy, 'kind'> = { radiusMm: null, reachMm: null, lengthToDiameter: null, wayUp: null };
const plain = (kind: Remedy['kind']): Remedy => ({ ...NONE, kind });

/**
 * A smaller ball, as long as it is not too slender; a flat end along a floor; else work on the bench where it is
 * shallow and small, or EDM. A sharp corner may lie in the joint of a split insert.
 */
export function tightRemedies(
  { radiusMm, depthMm, areaMm2, takesFlatEnd }: TightSpot,
  reachOf: BallReach,
  mostLengthToDiameter: number,
): Remedy[] {
  const flatEnd = takesFlatEnd ? [plain('flat-end')] : [];
  if (radiusMm === Infinity) return [plain('ball'), ...flatEnd];
  const ball = radiusMm >= LEAST_BALL_MM ? ballWithin(radiusMm, reachOf, mostLengthToDiameter) : [];
  if (ball.length > 0) return [...ball, ...flatEnd];
  const isForHand = depthMm <= HAND_DEPTH_MM && areaMm2 <= HAND_AREA_MM2;
  return [
    ...flatEnd,
    plain(isForHand ? 'hand' : 'edm'),
    ...(radiusMm < LEAST_BALL_MM ? [plain('split-insert')] : []),
  ];
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

/** What no tool from above sees: another set-up, the second way up if that adds anything; in a mould a side action. */
export const undercutRemedies = ({ waysUp: { ways, second } }: Pick<Plan, 'waysUp'>): Remedy[] => [
  { ...NONE, kind: 'set-up', wayUp: second === null ? null : ways[second.way].name },
  plain('side-action'),
];

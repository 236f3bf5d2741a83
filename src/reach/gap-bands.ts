import { ballQuery } from './ball-contact.js';
import { ballReach, type AtPoint, type GapLimits } from './ball-reach.js';
import type { PartTree } from './part-tree.js';
import { POINT_STRIDE } from './reach-kernels.js';

/** Gaps are told up to so many radii: beyond, a cutter does not fit at all. */
export const DEEPEST_RADII = 4;
/** The limits that a legend names, in tolerances: each is at least twice the one before. */
const TOLERANCES = [1, 2.5, 5, 12.5, 25, 50];

/** Limits between the bands that gaps are shown in, ascending, mm; below the first counts as reached. */
export const namedGapLimits = (toleranceMm: number): number[] =>
  TOLERANCES.map((factor) => factor * toleranceMm);

/**
 * The same, and doubled on and on beyond them to where a ball does not fit.
 *
 * @param radiusMm of the ball, the allowance included
 */
export function gapLimits(toleranceMm: number, radiusMm: number): number[] {
  const limits = namedGapLimits(toleranceMm),
    farMm = DEEPEST_RADII * radiusMm;
  while (limits[limits.length - 1] < farMm) limits.push(2 * limits[limits.length - 1]);
  return [...limits.filter((limit) => limit < farMm), farMm];
}

/** Normals of one side differ by no more. */
const SAME_NORMAL = 0.02;
/** A gap grows by no more than the way to a point: so near it is in the band found there, for a picture, mm. */
const NEAR_MM = 0.1;

/**
 * Finds the band of one ball's gap at points that lie near each other: so near the last one asked about that no picture
 * shows it, the band is taken over; else it is tried first, and which band takes a yes and a no.
 *
 * @param isWithin whether the gap at a point is no more than so much, mm
 * @param limits ascending, mm
 * @returns of a point, and the least that its band can be: how many limits its gap exceeds
 */
export function gapBandFinder(
  isWithin: (at: AtPoint, limitMm: number) => boolean,
  limits: readonly number[],
): (at: AtPoint, least: number) => number {
  let band = 0,
    before: AtPoint | null = null;
  return (at, least) => {
    if (before !== null && band >= least && isNear(at, before)) return band;
    const isUpTo = (k: number): boolean => k === limits.length || isWithin(at, limits[k]);
    band = Math.max(band, least);
    if (isUpTo(band)) while (band > least && isUpTo(band - 1)) band--;
    else while (!isUpTo(++band));
    before = at;
    return band;
  };
}

const isNear = (a: AtPoint, b: AtPoint): boolean =>
  a.every((x, k) => Math.abs(x - b[k]) <= (k < 3 ? NEAR_MM : SAME_NORMAL));

/**
 * Band of a ball's gap at each of the points, none of which it reaches.
 *
 * @param points (6 N) see `POINT_STRIDE`
 * @param radiusMm of the ball, the allowance included
 * @returns (N) how many of the limits the gap exceeds, 1 or more
 */
export function gapBandsAt(
  tree: PartTree,
  points: Float64Array,
  radiusMm: number,
  limits: GapLimits,
): Float64Array {
  const { isWithin } = ballReach(ballQuery(tree), limits);
  const bandAt = gapBandFinder(
    (at, limitMm) => isWithin(...at, radiusMm, limitMm),
    gapLimits(limits.toleranceMm, radiusMm),
  );
  return Float64Array.from({ length: points.length / POINT_STRIDE }, (_, i) => {
    const [x, y, z, nx, ny, nz] = points.subarray(POINT_STRIDE * i, POINT_STRIDE * (i + 1));
    return bandAt([x, y, z, nx, ny, nz], 1);
  });
}

import { flatProfile, offsetProfile, type CutterProfile } from '../cutter/cutter-profile.js';
import { raisedToLevels, sliceLevels, type Slices } from './slice-levels.js';
import { thickerThan } from './left-thickness.js';
import type { Rougher } from './rough-move.js';
import { isLevelAt, NOTHING_MM, type StockField } from './stock-field.js';
import type { Standing } from './standing-heights.js';
import { clearedHeights, highestUnder, lowestTips } from './tool-envelope.js';

/** What one cutter makes of the stock before it; without slices it follows the surface. */
export interface ClearedStock extends Slices {
  /** (nodes) heights of its tip; Infinity: it does not go there */
  readonly tips: Float32Array;
  /** (nodes) top of the stock afterwards, mm; -Infinity beside the block */
  readonly after: Float32Array;
}

/**
 * Lets a cutter take all of the stock that it can, at a distance from the part.
 *
 * @param before (nodes) top of the stock, mm
 * @param stockMm left on the part
 * @param stepMm greatest step between slices; null: it follows the surface
 * @param standing where its tip may be; left out: anywhere
 */
export function clearStock(
  field: StockField,
  before: Float32Array,
  profile: CutterProfile,
  stockMm: number,
  stepMm: number | null,
  standing?: Standing,
): ClearedStock {
  const { lattice, part, isPart, floorMm } = field;
  // Where there is no part nothing is left on it.
  const stands = part.map((top, node) => (isPart[node] === 1 ? top : floorMm - stockMm));
  const lowest = lowestTips(stands, lattice, grownProfile(profile, stockMm)).map((tip) => tip + stockMm);
  const { levels, topMm } =
    stepMm === null
      ? { levels: [], topMm: -Infinity }
      : sliceLevels(
          lowest,
          highestUnder(before, lattice, profile.radiusMm),
          (node) => lowest[node] < part[node] + stockMm + NOTHING_MM && isLevelAt(field, node),
          stepMm,
        );
  const free = stepMm === null ? lowest : raisedToLevels(lowest, levels);
  const tips = standing
    ? free.map((tip, node) => (tip <= standing.to[node] ? Math.max(tip, standing.from[node]) : Infinity))
    : free;
  const cleared = clearedHeights(tips, lattice, profile, before);
  const after = before.map((top, node) => Math.min(top, Math.max(cleared[node], part[node])));
  return { tips, after, levels, topMm };
}

/**
 * As `clearStock`, of a rougher that follows another: where what stands is thicker than the next stage should meet. The
 * terraces of the one before and the strips along its walls are left to that.
 *
 * @param thinMm thickness that the next stage takes as it comes
 */
export function clearThick(
  field: StockField,
  before: Float32Array,
  { profile, stepdownMm }: Pick<Rougher, 'profile' | 'stepdownMm'>,
  stockMm: number,
  thinMm: number,
): ClearedStock {
  const cleared = clearStock(field, before, profile, stockMm, stepdownMm);
  const isThick = thickerThan(
    field,
    before,
    thinMm,
    (node) => before[node] > cleared.after[node] + NOTHING_MM,
  );
  return { ...cleared, after: before.map((top, node) => (isThick[node] === 1 ? cleared.after[node] : top)) };
}

/**
 * The cutter grown by what it leaves. Sharp corners stay sharp, as if stock were left sideways and under the end apart:
 * what the rounding would add, 0.2 s² along a wall's foot, is nothing beside the stock itself.
 */
const grownProfile = (profile: CutterProfile, stockMm: number): CutterProfile =>
  profile.kind === 'flat' ? flatProfile(profile.radiusMm + stockMm) : offsetProfile(profile, stockMm);

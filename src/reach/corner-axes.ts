import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import type { RimBlockers } from './rim-queries.js';
import { continuedTip, lowerFan, type WallAxes } from './wall-axes.js';
import type { WallRims } from './wall-rims.js';

/** Chords of curved walls and the half-pitch between points stay below this, in pitches. */
const ROUNDED = 0.02;

/**
 * Lowers cleared heights by the axes in upright inner corners: along the upper edge of a wall, the last place
 * at which the cutter touches that wall and is not yet stopped by another one. Found by halving the step
 * between two points.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one pass over the corners, whose places are locals.
export function lowerByCornerAxes(
  rims: WallRims,
  axes: WallAxes,
  blocking: RimBlockers,
  window: GridWindow,
  profile: CutterProfile,
  tips: Float64Array,
  cleared: Float64Array,
): void {
  const { points, facing, starts } = rims;
  const { offMm, tipMm, fits } = axes;
  const slackMm = ROUNDED * window.pitchMm;
  let before = -1;
  for (let p = 0; p < starts.length; p++) {
    const nx = facing[2 * p],
      ny = facing[2 * p + 1];
    const here = blocking(
      p,
      points[3 * p] + offMm[p] * nx,
      points[3 * p + 1] + offMm[p] * ny,
      tipMm[p],
      slackMm,
    );
    const last = before;
    before = here;
    if (starts[p] || here < 0 === last < 0) continue;
    // From the free end towards the blocked one.
    const from = here < 0 ? p : p - 1,
      to = here < 0 ? p - 1 : p;
    const off = offMm[from];
    let blocker = here < 0 ? last : here,
      free = 0,
      stopped = 1;
    const at = (t: number, c: number): number =>
      points[3 * from + c] + t * (points[3 * to + c] - points[3 * from + c]) + off * facing[2 * p + c];
    for (let step = 0; step < 12; step++) {
      const middle = (free + stopped) / 2;
      const found = blocking(p, at(middle, 0), at(middle, 1), tipMm[from], slackMm);
      if (found < 0) free = middle;
      else {
        stopped = middle;
        blocker = found;
      }
    }
    const x = at(free, 0),
      y = at(free, 1);
    const sx = nx + (x - points[3 * blocker]) / off,
      sy = ny + (y - points[3 * blocker + 1]) / off;
    const tip = fits[from]
      ? tipMm[from]
      : continuedTip(window, tips, x, y, sx, sy, Math.min(points[3 * p + 2], points[3 * blocker + 2]));
    if (tip === Infinity) continue;
    lowerFan(window, profile, x, y, 0, 0, true, tip, cleared);
  }
}

import { rimBlockers } from './corner-axes.js';
import { profileHeight, type CutterProfile } from './cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import type { WallAxes } from './wall-axes.js';
import type { WallRims } from './wall-rims.js';

/** Widest play, in pitches, that tips between nodes can show on their own. */
const MOST_PLAY = 3;

/**
 * Finds the tips of axes between upright walls that are just as far apart as the cutter is wide. In a slot or
 * bore of its own diameter there is but one line, or point, for the axis, and no node lies on it: the whole
 * slot would count as rest, 9 times too much for a ball R 3 in a slot 6 wide and 10 deep. As where reach is
 * asked, the cutter may cut into chords of round walls, and by a little slack.
 *
 * @param axes filled in where they are found
 * @param heights of the part
 */
export function addFittingAxes(
  rims: WallRims, axes: WallAxes, window: GridWindow, profile: CutterProfile, heights: Float64Array, slackMm: number,
): void {
  const { points, facing, sagitta, draft, starts } = rims;
  const { offMm, tipMm, fits } = axes;
  const blocking = rimBlockers(rims, profile, slackMm);
  const { radiusMm, cornerRadiusMm } = profile;
  const before = 2 * (radiusMm - window.pitchMm), beyond = 2 * radiusMm + (MOST_PLAY + 1) * window.pitchMm;
  for (let p = 0; p < starts.length; p++) {
    const nx = facing[2 * p], ny = facing[2 * p + 1], px = points[3 * p], py = points[3 * p + 1], pz = points[3 * p + 2];
    const x = px + radiusMm * nx, y = py + radiusMm * ny;
    const wallTop = Math.min(pz, heightAt(window, heights, px + beyond * nx, py + beyond * ny));
    if (!(wallTop > heightAt(window, heights, x, y) + cornerRadiusMm)) continue;
    if (!(wallTop > heightAt(window, heights, px + before * nx, py + before * ny))) continue;
    const tip = tipOver(window, heights, profile, radiusMm - slackMm - 2 * sagitta[p], x, y);
    const drop = pz - tip - cornerRadiusMm;
    if (!(drop > 0 && draft[p] * drop <= slackMm) || blocking(p, x, y, tip) >= 0) continue;
    offMm[p] = radiusMm;
    tipMm[p] = tip;
    fits[p] = 1;
  }
}

/** Of the nearest node; `-Infinity` beside the window. */
function heightAt({ originXMm, originYMm, pitchMm, columns, rows }: GridWindow, heights: Float64Array, x: number, y: number): number {
  const i = Math.round((x - originXMm) / pitchMm), j = Math.round((y - originYMm) / pitchMm);
  return i >= 0 && j >= 0 && i < columns && j < rows ? heights[j * columns + i] : -Infinity;
}

/** Height of the tip at a place between nodes, in contact with those up to `reachMm` away. */
function tipOver(
  { originXMm, originYMm, pitchMm, columns, rows }: GridWindow, heights: Float64Array, profile: CutterProfile,
  reachMm: number, xMm: number, yMm: number,
): number {
  const x = (xMm - originXMm) / pitchMm, y = (yMm - originYMm) / pitchMm, reach = reachMm / pitchMm;
  let tip = -Infinity;
  for (let j = Math.max(0, Math.ceil(y - reach)); j <= Math.min(rows - 1, y + reach); j++) {
    for (let i = Math.max(0, Math.ceil(x - reach)); i <= Math.min(columns - 1, x + reach); i++) {
      const height = heights[j * columns + i];
      if (height <= tip) continue;
      const mm = pitchMm * Math.sqrt((i - x) ** 2 + (j - y) ** 2);
      if (mm <= reachMm) tip = Math.max(tip, height - profileHeight(profile, mm));
    }
  }
  return tip;
}

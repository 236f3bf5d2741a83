import { profileHeight, type CutterProfile } from './cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { continuedTip, type WallAxes } from './wall-axes.js';
import { visitFan, type WallRims } from './wall-rims.js';

/** Chords of curved walls and the half-pitch between points stay below this, in pitches. */
const ROUNDED = 0.02;

/**
 * Lowers cleared heights by the axes in upright inner corners: along the upper edge of a wall, the last place
 * at which the cutter touches that wall and is not yet stopped by another one. Found by halving the step
 * between two points.
 */
export function lowerByCornerAxes(
  rims: WallRims, axes: WallAxes, window: GridWindow, profile: CutterProfile, tips: Float64Array, cleared: Float64Array,
): void {
  const { points, facing, starts } = rims;
  const { offMm, tipMm, fits } = axes;
  const blocking = rimBlockers(rims, profile, ROUNDED * window.pitchMm);
  let before = -1;
  for (let p = 0; p < starts.length; p++) {
    const nx = facing[2 * p], ny = facing[2 * p + 1];
    const here = blocking(p, points[3 * p] + offMm[p] * nx, points[3 * p + 1] + offMm[p] * ny, tipMm[p]);
    const last = before;
    before = here;
    if (starts[p] || here < 0 === last < 0) continue;
    // From the free end towards the blocked one.
    const from = here < 0 ? p : p - 1, to = here < 0 ? p - 1 : p;
    const off = offMm[from];
    let blocker = here < 0 ? last : here, free = 0, stopped = 1;
    const at = (t: number, c: number): number =>
      points[3 * from + c] + t * (points[3 * to + c] - points[3 * from + c]) + off * facing[2 * p + c];
    for (let step = 0; step < 12; step++) {
      const middle = (free + stopped) / 2;
      const found = blocking(p, at(middle, 0), at(middle, 1), tipMm[from]);
      if (found < 0) free = middle;
      else {
        stopped = middle;
        blocker = found;
      }
    }
    const x = at(free, 0), y = at(free, 1);
    const sx = nx + (x - points[3 * blocker]) / off, sy = ny + (y - points[3 * blocker + 1]) / off;
    const tip = fits[from] ? tipMm[from]
      : continuedTip(window, tips, x, y, sx, sy, Math.min(points[3 * p + 2], points[3 * blocker + 2]));
    if (tip === Infinity) continue;
    visitFan(window, profile, x, y, 0, 0, true, (k, mm) => {
      if (cleared[k] <= tip) return;
      cleared[k] = Math.min(cleared[k], tip + profileHeight(profile, mm));
    });
  }
}

/**
 * A function that names a rim point nearer to an axis than a cutter may stand to its wall, by more than
 * `slackMm`, of one that faces elsewhere than that of rim point `own`; -1 if there is none. Round walls lie
 * behind their chords.
 */
export function rimBlockers(
  rims: WallRims, profile: CutterProfile, slackMm: number,
): (own: number, x: number, y: number, tipMm: number) => number {
  const { points, outward, sagitta, draft } = rims;
  const near = pointsAround(points, profile.radiusMm / 2);
  const steepest = draft.reduce((most, d) => Math.max(most, d), 0);
  let highest = -Infinity;
  for (let k = 2; k < points.length; k += 3) highest = Math.max(highest, points[k]);
  return (own, x, y, tipMm) => {
    const bottom = tipMm + profile.cornerRadiusMm;
    const farthest = profile.radiusMm - slackMm + (steepest > 0 ? steepest * Math.max(0, highest - bottom) : 0);
    let nearest = 0, found = -1;
    near(x, y, farthest, (q, squared) => {
      if (outward[2 * own] * outward[2 * q] + outward[2 * own + 1] * outward[2 * q + 1] > 0.94) return;
      const out = draft[q] * Math.max(0, points[3 * q + 2] - bottom);
      const entry = profile.radiusMm + out - slackMm - sagitta[own] - sagitta[q] - Math.sqrt(squared);
      if (entry > nearest) {
        nearest = entry;
        found = q;
      }
    });
    return found;
  };
}

/**
 * Visits points in plan less than `reachMm` from a place, in a fixed order, each with its squared distance.
 *
 * @param side of the square bins that they are kept in, mm
 */
export function pointsAround(
  points: Float64Array, side: number,
): (x: number, y: number, reachMm: number, visit: (point: number, squared: number) => void) => void {
  const bins = new Map<number, number[]>();
  // Plan coordinates are millimetres of a part: bins number far less than 2^20 each way.
  const key = (i: number, j: number): number => i * 0x100000 + j;
  for (let p = 0; p < points.length / 3; p++) {
    const name = key(Math.floor(points[3 * p] / side), Math.floor(points[3 * p + 1] / side));
    const bin = bins.get(name);
    if (bin) bin.push(p);
    else bins.set(name, [p]);
  }
  return (x, y, reachMm, visit) => {
    const squaredReach = reachMm * reachMm;
    for (let j = Math.floor((y - reachMm) / side); j <= Math.floor((y + reachMm) / side); j++) {
      for (let i = Math.floor((x - reachMm) / side); i <= Math.floor((x + reachMm) / side); i++) {
        for (const p of bins.get(key(i, j)) ?? []) {
          const dx = points[3 * p] - x, dy = points[3 * p + 1] - y, squared = dx * dx + dy * dy;
          if (squared < squaredReach) visit(p, squared);
        }
      }
    }
  };
}

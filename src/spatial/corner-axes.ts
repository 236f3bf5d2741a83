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
  const blocking = rimBlockers(rims, axes, profile, ROUNDED * window.pitchMm);
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
 * `slackMm`, of one that faces elsewhere than that of rim point `own`; -1 if there is none. Round walls lie behind their chords. Points are kept in
 * square bins as wide as that is at most.
 */
export function rimBlockers(
  { points, outward, sagitta, draft, ends }: WallRims, { offMm }: WallAxes, profile: CutterProfile, slackMm: number,
): (own: number, x: number, y: number, tipMm: number) => number {
  const side = offMm.reduce((most, off) => Math.max(most, off), profile.radiusMm);
  const bins = new Map<number, number[]>();
  // Plan coordinates are millimetres of a part: bins number far less than 2^20 each way.
  const key = (i: number, j: number): number => i * 0x100000 + j;
  for (let p = 0; p < ends.length; p++) {
    const name = key(Math.floor(points[3 * p] / side), Math.floor(points[3 * p + 1] / side));
    const bin = bins.get(name);
    if (bin) bin.push(p);
    else bins.set(name, [p]);
  }
  return (own, x, y, tipMm) => {
    const column = Math.floor(x / side), row = Math.floor(y / side);
    let nearest = 0, found = -1;
    for (let j = row - 1; j <= row + 1; j++) {
      for (let i = column - 1; i <= column + 1; i++) {
        for (const q of bins.get(key(i, j)) ?? []) {
          if (outward[2 * own] * outward[2 * q] + outward[2 * own + 1] * outward[2 * q + 1] > 0.94) continue;
          const dx = points[3 * q] - x, dy = points[3 * q + 1] - y;
          const out = draft[q] * Math.max(0, points[3 * q + 2] - tipMm - profile.cornerRadiusMm);
          const entry = profile.radiusMm + out - slackMm - sagitta[own] - sagitta[q] - Math.sqrt(dx * dx + dy * dy);
          if (entry > nearest) {
            nearest = entry;
            found = q;
          }
        }
      }
    }
    return found;
  };
}

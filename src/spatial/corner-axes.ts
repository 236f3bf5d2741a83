import type { CutterProfile } from './cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { tipBetween, visitFan, type WallRims } from './wall-rims.js';

/**
 * Lowers cleared heights by the axes in upright inner corners: along the upper edge of a wall, the last place at which
 * the cutter touches that wall and is not yet stopped by another one. Found by halving the step between two points.
 */
export function lowerByCornerAxes(
  rims: WallRims, window: GridWindow, profile: CutterProfile, tips: Float64Array, cleared: Float64Array,
): void {
  const { points, outward, starts } = rims;
  const reach = profile.radiusMm, pitch = window.pitchMm;
  const blocking = blockers(rims, reach, pitch);
  let before = -1;
  for (let p = 0; p < starts.length; p++) {
    const nx = outward[2 * p], ny = outward[2 * p + 1];
    const here = blocking(p, points[3 * p] + reach * nx, points[3 * p + 1] + reach * ny);
    const last = before;
    before = here;
    if (starts[p] || here < 0 === last < 0) continue;
    // From the free end towards the blocked one.
    const from = here < 0 ? p : p - 1, to = here < 0 ? p - 1 : p;
    let blocker = here < 0 ? last : here, free = 0, stopped = 1;
    const at = (t: number, c: number): number =>
      points[3 * from + c] + t * (points[3 * to + c] - points[3 * from + c]) + reach * outward[2 * p + c];
    for (let step = 0; step < 12; step++) {
      const middle = (free + stopped) / 2;
      const found = blocking(p, at(middle, 0), at(middle, 1));
      if (found < 0) free = middle;
      else {
        stopped = middle;
        blocker = found;
      }
    }
    const x = at(free, 0), y = at(free, 1);
    const sx = nx + (x - points[3 * blocker]) / reach, sy = ny + (y - points[3 * blocker + 1]) / reach;
    const near = tipBetween(window, tips, x + 1.5 * pitch * sx, y + 1.5 * pitch * sy);
    const far = tipBetween(window, tips, x + 3 * pitch * sx, y + 3 * pitch * sy);
    if (!(near < Math.min(points[3 * p + 2], points[3 * blocker + 2]))) continue;
    const tip = Math.abs(near - far) > 3 * pitch ? near : 2 * near - far;
    visitFan(window, profile, x, y, 0, 0, true, (k, g) => { if (tip + g < cleared[k]) cleared[k] = tip + g; });
  }
}

/**
 * A function that names a rim point nearer to an axis than DC/2, of a wall that faces elsewhere than that of rim
 * point `own`; -1 if there is none. Points are kept in square bins of side DC/2.
 */
function blockers(rims: WallRims, reach: number, pitchMm: number): (own: number, x: number, y: number) => number {
  const { points, outward } = rims;
  const bins = new Map<string, number[]>();
  const key = (i: number, j: number): string => `${i} ${j}`;
  for (let p = 0; p < rims.ends.length; p++) {
    const name = key(Math.floor(points[3 * p] / reach), Math.floor(points[3 * p + 1] / reach));
    const bin = bins.get(name);
    if (bin) bin.push(p);
    else bins.set(name, [p]);
  }
  // Chords of curved walls and the half-pitch between points stay below this.
  const limit = (reach - 0.02 * pitchMm) ** 2;
  return (own, x, y) => {
    const column = Math.floor(x / reach), row = Math.floor(y / reach);
    let nearest = limit, found = -1;
    for (let j = row - 1; j <= row + 1; j++) {
      for (let i = column - 1; i <= column + 1; i++) {
        for (const q of bins.get(key(i, j)) ?? []) {
          if (outward[2 * own] * outward[2 * q] + outward[2 * own + 1] * outward[2 * q + 1] > 0.94) continue;
          const squared = (points[3 * q] - x) ** 2 + (points[3 * q + 1] - y) ** 2;
          if (squared < nearest) {
            nearest = squared;
            found = q;
          }
        }
      }
    }
    return found;
  };
}

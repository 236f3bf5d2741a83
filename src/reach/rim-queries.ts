import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { WallRims } from './wall-rims.js';

/**
 * Names a rim point nearer to an axis than a cutter may stand to its wall, by more than `slackMm`, of a wall
 * that faces elsewhere than that of rim point `own`; -1 if there is none. Round walls lie behind their
 * chords.
 */
export type RimBlockers = (own: number, x: number, y: number, tipMm: number, slackMm: number) => number;

export function rimBlockers(rims: WallRims, profile: CutterProfile): RimBlockers {
  const { points, outward, sagitta, draft } = rims;
  const near = pointsAround(points, profile.radiusMm / 2);
  const steepest = draft.reduce((most, d) => Math.max(most, d), 0);
  let highest = -Infinity;
  for (let k = 2; k < points.length; k += 3) highest = Math.max(highest, points[k]);
  return (own, x, y, tipMm, slackMm) => {
    const bottom = tipMm + profile.cornerRadiusMm;
    const farthest =
      profile.radiusMm - slackMm + (steepest > 0 ? steepest * Math.max(0, highest - bottom) : 0);
    let nearest = 0,
      found = -1;
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
  points: Float64Array,
  side: number,
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
          const dx = points[3 * p] - x,
            dy = points[3 * p + 1] - y,
            squared = dx * dx + dy * dy;
          if (squared < squaredReach) visit(p, squared);
        }
      }
    }
  };
}

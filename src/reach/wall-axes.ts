import { profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { visitFan, type WallRims } from './wall-rims.js';

/** Axes of a cutter that touches the wall below each point of the rims. */
export interface WallAxes {
  /**
   * (P) from the rim outwards, mm: DC/2, and as much more as the wall comes out on its way down to the
   * contact
   */
  readonly offMm: Float64Array;
  /** (P) height of the tip, mm; `Infinity` where the cutter stands on top of the wall, or nothing is known */
  readonly tipMm: Float64Array;
  /** (P) 1 where the cutter has hardly any play between two walls; see `addFittingAxes` */
  readonly fits: Uint8Array;
}

/**
 * A draft moves an axis, which may move its tip, which moves the axis: settled within this many steps, or not
 * used.
 */
const DRAFT_STEPS = 6;
/** Axes nearer than this, in pitches, are one. */
const SAME_AXIS = 0.01;

export function wallAxes(
  rims: WallRims,
  window: GridWindow,
  profile: CutterProfile,
  tips: Float64Array,
): WallAxes {
  const { points, facing, draft, ends } = rims;
  const offMm = new Float64Array(ends.length).fill(profile.radiusMm),
    tipMm = new Float64Array(ends.length).fill(Infinity);
  for (let p = 0; p < ends.length; p++) {
    const nx = facing[2 * p],
      ny = facing[2 * p + 1],
      z = points[3 * p + 2];
    for (let step = 0; step < DRAFT_STEPS; step++) {
      const tip = continuedTip(
        window,
        tips,
        points[3 * p] + offMm[p] * nx,
        points[3 * p + 1] + offMm[p] * ny,
        nx,
        ny,
        z,
      );
      if (tip === Infinity) break;
      const needed = profile.radiusMm + draft[p] * Math.max(0, z - tip - profile.cornerRadiusMm);
      if (needed <= offMm[p] + SAME_AXIS * window.pitchMm) {
        tipMm[p] = tip;
        break;
      }
      offMm[p] = needed;
    }
  }
  return { offMm, tipMm, fits: new Uint8Array(ends.length) };
}

/** Lowers cleared heights by the axes that touch a wall, which lie between nodes. */
export function lowerByWallAxes(
  rims: WallRims,
  { offMm, tipMm }: WallAxes,
  window: GridWindow,
  profile: CutterProfile,
  cleared: Float64Array,
): void {
  const { points, facing, ends } = rims;
  for (let p = 0; p < ends.length; p++) {
    const tip = tipMm[p];
    if (tip === Infinity) continue;
    const nx = facing[2 * p],
      ny = facing[2 * p + 1];
    const x = points[3 * p] + offMm[p] * nx,
      y = points[3 * p + 1] + offMm[p] * ny;
    lowerFan(window, profile, x, y, -nx, -ny, ends[p] === 1, tip, cleared);
  }
}

/** Lowers cleared heights by a cutter whose tip stands so high over a place; which nodes, see `visitFan`. */
export function lowerFan(
  window: GridWindow,
  profile: CutterProfile,
  xMm: number,
  yMm: number,
  nx: number,
  ny: number,
  all: boolean,
  tipMm: number,
  cleared: Float64Array,
): void {
  visitFan(window, profile, xMm, yMm, nx, ny, all, (k, mm) => {
    if (cleared[k] > tipMm) cleared[k] = Math.min(cleared[k], tipMm + profileHeight(profile, mm));
  });
}

/**
 * Tip height at a place before a wall, carried on from what is further out in the direction (dx, dy), where
 * tips change smoothly; `Infinity` if the cutter stands on top of the wall there, or nothing is known.
 */
export function continuedTip(
  window: GridWindow,
  tips: Float64Array,
  x: number,
  y: number,
  dx: number,
  dy: number,
  wallTopMm: number,
): number {
  const pitch = window.pitchMm;
  const near = tipBetween(window, tips, x + 1.5 * pitch * dx, y + 1.5 * pitch * dy);
  const far = tipBetween(window, tips, x + 3 * pitch * dx, y + 3 * pitch * dy);
  if (!(near < wallTopMm)) return Infinity;
  // A second wall behind: nothing to carry on.
  return Math.abs(near - far) > 3 * pitch ? near : 2 * near - far;
}

/** Bilinear tip height, mm; `Infinity` beside the window or next to nothing. */
export function tipBetween(window: GridWindow, tips: Float64Array, xMm: number, yMm: number): number {
  const x = (xMm - window.originXMm) / window.pitchMm,
    y = (yMm - window.originYMm) / window.pitchMm;
  const i = Math.floor(x),
    j = Math.floor(y);
  if (!(i >= 0 && j >= 0 && i + 1 < window.columns && j + 1 < window.rows)) return Infinity;
  const k = j * window.columns + i,
    s = x - i,
    t = y - j;
  const z =
    (1 - t) * ((1 - s) * tips[k] + s * tips[k + 1]) +
    t * ((1 - s) * tips[k + window.columns] + s * tips[k + window.columns + 1]);
  return Number.isFinite(z) ? z : Infinity;
}

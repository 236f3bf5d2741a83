import { profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { visitFan } from './wall-rims.js';

/** Height of the tip at a place between nodes, in contact with those up to `reachMm` away, DC/2 at most. */
export function tipOver(
  window: GridWindow,
  heights: Float64Array,
  profile: CutterProfile,
  reachMm: number,
  xMm: number,
  yMm: number,
): number {
  let tip = -Infinity;
  visitFan(window, profile, xMm, yMm, 0, 0, true, (k, mm) => {
    if (heights[k] > tip && mm <= reachMm) tip = Math.max(tip, heights[k] - profileHeight(profile, mm));
  });
  return tip;
}

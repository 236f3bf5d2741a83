import { profileHeight, type CutterProfile } from './cutter-profile.js';
import type { GridWindow } from './grid-window.js';

/** Height of the tip at a place between nodes, in contact with those up to `reachMm` away. */
export function tipOver(
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

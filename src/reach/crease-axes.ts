import { profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { tipOver } from './tip-over.js';

/** Fall, in pitches a pitch, from which on a crease may lie between two walls. */
const STEEP = 4;

/**
 * Lowers cleared heights by axes in the valleys of the tip heights, which lie between nodes.
 *
 * Where the cutter touches two surfaces at once the tip heights have a crease, and that is where it clears
 * the corner best. Along a line of nodes the crease is where the straight continuations from both sides meet,
 * if each side is straight enough: which it is beside a crease, and is not beside the jump over an upright
 * wall.
 */
export function lowerByCreaseAxes(
  window: GridWindow,
  profile: CutterProfile,
  heights: Float64Array,
  tips: Float64Array,
  cleared: Float64Array,
): void {
  const { columns, rows } = window;
  const lower = (k: number, stride: number, t: number, i: number, j: number): void => {
    const from = tips[k] - tips[k - stride],
      tip = tips[k] + t * from;
    // Between steep walls a floor may be too narrow for any node to know of it.
    const x = window.originXMm + i * window.pitchMm,
      y = window.originYMm + j * window.pitchMm;
    const onFloor =
      from < -STEEP * window.pitchMm ? tipOver(window, heights, profile, profile.radiusMm, x, y) : tip;
    lowerAround(window, profile, i, j, Math.max(tip, onFloor), cleared);
  };
  for (let j = 0; j < rows; j++) {
    for (let i = 2; i + 3 < columns; i++) {
      const t = crease(tips, j * columns + i, 1, window.pitchMm);
      if (t >= 0) lower(j * columns + i, 1, t, i + t, j);
    }
  }
  for (let j = 2; j + 3 < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const t = crease(tips, j * columns + i, columns, window.pitchMm);
      if (t >= 0) lower(j * columns + i, columns, t, i, j + t);
    }
  }
}

/** Where between node k and the next the two sides meet, 0 to 1; -1 for no crease worth an axis. */
function crease(tips: Float64Array, k: number, stride: number, pitchMm: number): number {
  const left = tips[k] - tips[k - stride],
    right = tips[k + 2 * stride] - tips[k + stride];
  const turn = right - left;
  // Smooth ground turns less than this in one pitch; NaN (nothing there) fails as well.
  if (!(turn > 0.1 * pitchMm)) return -1;
  const bend =
    Math.abs(left - (tips[k - stride] - tips[k - 2 * stride])) +
    Math.abs(tips[k + 3 * stride] - tips[k + 2 * stride] - right);
  if (!(bend < 0.1 * turn)) return -1;
  const t = (tips[k] - tips[k + stride] + right) / turn;
  return t > 0 && t < 1 ? t : -1;
}

function lowerAround(
  window: GridWindow,
  profile: CutterProfile,
  x: number,
  y: number,
  tip: number,
  cleared: Float64Array,
): void {
  const { columns, rows, pitchMm } = window;
  const reach = profile.radiusMm / pitchMm;
  const firstColumn = Math.max(0, Math.ceil(x - reach)),
    lastColumn = Math.min(columns - 1, Math.floor(x + reach));
  const lastRow = Math.min(rows - 1, Math.floor(y + reach));
  for (let j = Math.max(0, Math.ceil(y - reach)); j <= lastRow; j++) {
    for (let i = firstColumn; i <= lastColumn; i++) {
      const k = j * columns + i;
      // Cheaper than the profile, and true of most: the tip itself is no lower than what is cleared already.
      if (cleared[k] <= tip) continue;
      const height = tip + profileHeight(profile, pitchMm * Math.sqrt((i - x) ** 2 + (j - y) ** 2));
      if (height < cleared[k]) cleared[k] = height;
    }
  }
}

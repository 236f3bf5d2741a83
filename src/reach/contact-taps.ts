/**
 * Which taps of a cutter can touch a node, from the rises to its four neighbours.
 *
 * Node q can set the tip height of the axis u nodes away only if its offer height(q) - g(u) beats its
 * neighbours':
 *
 *     g(u - e) - g(u) >= height(q + e) - height(q)     for e = (1, 0), (-1, 0), (0, 1), (0, -1)
 *
 * (where the cutter touches, its slope fits between the slopes of the part on both sides). As g is convex,
 * the left side falls with u along e, so along each line of taps the condition leaves one interval. Of equal
 * offers the one from the greatest x, then y, must stay and the others may go: hence the strict test for e =
 * (1, 0), (0, 1) at rise 0, by which the flat end of a cutter on a level floor costs its rim and not its
 * area.
 *
 * Rises are rounded down to one of few values first, which leaves a few taps too many but lets the lists be
 * kept: neighbouring nodes of a part nearly always share one.
 */
import type { CutterKernel } from './cutter-kernel.js';

/** Index of the list of taps in `start` for each node asked; grows as combinations of rises turn up. */
export interface ContactTaps {
  /**
   * List `l` is `ux|uy|drop[start[l] .. start[l + 1])`. Read it afresh after every `contactTapList`: it may
   * move.
   */
  start: Int32Array;
  ux: Int16Array;
  uy: Int16Array;
  /** g at the tap, mm */
  drop: Float64Array;
  lists: number;
  /** Open-addressed table of keys (rises) and their lists. */
  readonly keys: Int32Array;
  readonly listOfKey: Int32Array;
  readonly kernel: CutterKernel;
  /** (BINS + 1) least rise of each bin, mm; the last is the exact 0 */
  readonly leastRise: Float64Array;
  /** mm; a rise above 0 but below this may be rounding and counts as a fall. */
  readonly leastAscent: number;
}

const BINS = 64;
const LEVEL = BINS;
const TABLE = 1 << 18;
/** Tables are emptied rather than let grow beyond this many taps (rough, noisy ground). */
const MAX_TAPS = 1 << 22;

/**
 * @param epsilon mm, differences of heights below which rounding may decide; such never exclude a tap
 */
export function contactTaps(kernel: CutterKernel, epsilon: number): ContactTaps {
  const leastRise = new Float64Array(BINS + 1);
  for (let bin = 0; bin < BINS; bin++) {
    const t = (2 * bin) / BINS - 1;
    leastRise[bin] =
      bin === 0 ? -Infinity : ((kernel.pitchMm * t) / (1 - Math.abs(t))) * (1 + 1e-12) - epsilon;
    if (leastRise[bin] > 0) leastRise[bin] -= 2e-12 * (leastRise[bin] + epsilon);
  }
  leastRise[LEVEL] = 0;
  // Any true ascent, however gentle, keeps the flat end of a cutter from touching: so the first bin begins
  // above 0.
  leastRise[BINS / 2] = epsilon;
  return {
    start: new Int32Array(1024),
    ux: new Int16Array(1 << 14),
    uy: new Int16Array(1 << 14),
    drop: new Float64Array(1 << 14),
    lists: 0,
    keys: new Int32Array(TABLE).fill(-1),
    listOfKey: new Int32Array(TABLE),
    kernel,
    leastRise,
    leastAscent: 2 * epsilon,
  };
}

/** Bin of a rise in mm from a node to its neighbour. */
export function riseBin(taps: ContactTaps, rise: number): number {
  if (rise === 0) return LEVEL;
  if (rise > 0 && rise < taps.leastAscent) return BINS / 2 - 1;
  const size = rise < 0 ? -rise : rise;
  if (size === Infinity) return rise < 0 ? 0 : BINS - 1;
  const bin = ((rise / (taps.kernel.pitchMm + size) + 1) * (BINS / 2)) | 0;
  return bin < BINS ? bin : BINS - 1;
}

/** The list for four bins: towards +x, -x, +y, -y. Built at its first use. */
export function contactTapList(
  taps: ContactTaps,
  right: number,
  left: number,
  above: number,
  below: number,
): number {
  // 65^4 < 2^25
  const key = ((right * (BINS + 1) + left) * (BINS + 1) + above) * (BINS + 1) + below;
  let slot = Math.imul(key, 0x9e3779b1) >>> 14;
  while (taps.keys[slot] >= 0) {
    if (taps.keys[slot] === key) return taps.listOfKey[slot];
    slot = (slot + 1) & (TABLE - 1);
  }
  if (taps.lists >= TABLE / 2 || taps.start[taps.lists] > MAX_TAPS) {
    taps.keys.fill(-1);
    taps.lists = 0;
    slot = Math.imul(key, 0x9e3779b1) >>> 14;
  }
  taps.keys[slot] = key;
  taps.listOfKey[slot] = taps.lists;
  buildList(taps, right, left, above, below);
  return taps.lists++;
}

/**
 * Last index in `[first, last]` of a falling table whose entry passes the test of a bin; `first - 1` if none.
 */
function lastFitting(
  table: Float64Array,
  first: number,
  last: number,
  least: number,
  strict: boolean,
): number {
  let low = first - 1,
    high = last;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (strict ? table[middle] > 0 : table[middle] >= least) low = middle;
    else high = middle - 1;
  }
  return low;
}

function buildList(taps: ContactTaps, right: number, left: number, above: number, below: number): void {
  const { kernel, leastRise } = taps;
  const { reach, greatestSteps, steps, half } = kernel;
  const size = 2 * reach + 1;
  const leastRight = leastRise[right],
    leastLeft = leastRise[left];
  const leastAbove = leastRise[above],
    leastBelow = leastRise[below];
  const maxY = lastFitting(greatestSteps, 0, size - 1, leastAbove, above === LEVEL) - reach;
  const minY = reach - lastFitting(greatestSteps, 0, size - 1, leastBelow, false);
  if (taps.lists + 2 > taps.start.length) {
    const start = new Int32Array(2 * taps.start.length);
    start.set(taps.start);
    taps.start = start;
  }
  let end = taps.start[taps.lists];
  for (let uy = minY; uy <= maxY; uy++) {
    const line = (uy + reach) * size + reach,
      width = half[uy + reach];
    const to = lastFitting(steps, line - width, line + width, leastRight, right === LEVEL) - line;
    const from = line - lastFitting(steps, line - width, line + width, leastLeft, false);
    reserve(taps, end + Math.max(0, to - from + 1));
    for (let ux = from; ux <= to; ux++) {
      // The kernel is symmetric: the step in y at (ux, uy) is the step in x at (uy, ux).
      const column = (ux + reach) * size + reach;
      const stepAbove = steps[column + uy];
      if (above === LEVEL ? !(stepAbove > 0) : !(stepAbove >= leastAbove)) continue;
      if (!(steps[column - uy] >= leastBelow)) continue;
      taps.ux[end] = ux;
      taps.uy[end] = uy;
      taps.drop[end++] = kernel.heights[line + ux];
    }
  }
  taps.start[taps.lists + 1] = end;
}

/** Makes room for `count` taps in all. */
function reserve(taps: ContactTaps, count: number): void {
  if (count <= taps.ux.length) return;
  const length = Math.max(count, 2 * taps.ux.length);
  const ux = new Int16Array(length),
    uy = new Int16Array(length),
    drop = new Float64Array(length);
  ux.set(taps.ux);
  uy.set(taps.uy);
  drop.set(taps.drop);
  taps.ux = ux;
  taps.uy = uy;
  taps.drop = drop;
}

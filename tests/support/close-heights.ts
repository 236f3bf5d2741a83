import type { Context } from '../../src/core/context.js';
import type { CutterProfile } from '../../src/cutter/cutter-profile.js';
import { erodeTips } from '../../src/reach/closing.js';
import { cutterKernel } from '../../src/reach/cutter-kernel.js';
import { dilateHeights } from '../../src/reach/dilate.js';
import type { GridWindow } from '../../src/reach/grid-window.js';

/** Result of a closing, both (columns x rows) of the window. */
export interface Closing {
  /** Tip height of the cutter in contact with the part, mm; `-Infinity` where no part is within DC/2. */
  readonly tips: Float64Array;
  /** Height down to which the cutter clears over each node, mm; `-Infinity` where nothing stops it. */
  readonly cleared: Float64Array;
}

/**
 * Grey closing of a height grid by a cutter: dilation, then erosion of the result. The window is padded
 * inside by DC/2 of nothing, so that the cutter may also stand beside the part.
 *
 * Exactly what trying every tap at every node gives, and never below the heights themselves.
 *
 * @param heights (columns x rows) mm, `-Infinity` where there is no part
 * @throws {RangeError} if the number of heights does not fit the window
 */
export function closeHeights(
  window: GridWindow,
  heights: Float64Array,
  profile: CutterProfile,
  context: Context = {},
): Closing {
  const { columns, rows } = window;
  if (heights.length !== columns * rows) {
    throw new RangeError(`closeHeights: ${heights.length} heights, expected ${columns * rows}`);
  }
  const kernel = cutterKernel(profile, window.pitchMm);
  const pad = kernel.reach;
  const wide = columns + 2 * pad,
    high = rows + 2 * pad;
  const padded = new Float64Array(wide * high).fill(-Infinity);
  let lowest = Infinity;
  for (let j = 0; j < rows; j++)
    padded.set(heights.subarray(j * columns, (j + 1) * columns), (j + pad) * wide + pad);
  for (let k = 0; k < heights.length; k++)
    if (heights[k] > -Infinity && heights[k] < lowest) lowest = heights[k];
  const tips = dilateHeights(padded, wide, high, kernel, new Float64Array(wide * high), half(context, 0));
  const cleared = erodeTips(tips, wide, high, kernel, lowest, padded, half(context, 0.5));
  return { tips: crop(tips, wide, pad, columns, rows), cleared: crop(cleared, wide, pad, columns, rows) };
}

function half(context: Context, start: number): Context {
  const { progress } = context;
  if (!progress) return context;
  return { ...context, progress: (stage, fraction) => progress(stage, start + fraction / 2) };
}

function crop(source: Float64Array, wide: number, pad: number, columns: number, rows: number): Float64Array {
  const out = new Float64Array(columns * rows);
  for (let j = 0; j < rows; j++) {
    const start = (j + pad) * wide + pad;
    out.set(source.subarray(start, start + columns), j * columns);
  }
  return out;
}

import type { Context } from '../core/context.js';
import type { CutterKernel } from './cutter-kernel.js';
import { dilateHeights } from './dilate.js';

/**
 * Erosion as the dilation of the negated tips. "Nothing within DC/2" becomes a floor so low that whatever is
 * cleared from it is recognised afterwards: an infinite source would make NaN of its differences.
 */
export function erodeTips(
  tips: Float64Array,
  columns: number,
  rows: number,
  kernel: CutterKernel,
  lowest: number,
  scratch: Float64Array,
  context: Context,
): Float64Array {
  // Finite tips lie at or above lowest - tallest, and so does all they clear; from the floor at most this:
  const bottom = lowest - kernel.tallest - 1;
  const floor = bottom - kernel.tallest - 1;
  for (let k = 0; k < tips.length; k++) scratch[k] = tips[k] === -Infinity ? -floor : 0 - tips[k];
  const cleared = dilateHeights(scratch, columns, rows, kernel, new Float64Array(tips.length), context);
  for (let k = 0; k < cleared.length; k++) {
    // 0 - z, not -z: no negative zero.
    const height = 0 - cleared[k];
    cleared[k] = height <= bottom ? -Infinity : height;
  }
  return cleared;
}

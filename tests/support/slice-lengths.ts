import { runningSum } from '../../src/core/sum.js';
import type { Slices } from '../../src/time/slices.js';

/** Length of each polyline, mm (L). */
export function sliceLengths({ points, start }: Slices): Float64Array {
  const lengths = new Float64Array(start.length - 1);
  for (let l = 0; l < lengths.length; l++) {
    const sum = runningSum();
    for (let i = 3 * start[l] + 3; i < 3 * start[l + 1]; i += 3) {
      const x = points[i] - points[i - 3],
        y = points[i + 1] - points[i - 2];
      const z = points[i + 2] - points[i - 1];
      sum.add(Math.sqrt(x * x + y * y + z * z));
    }
    lengths[l] = sum.value();
  }
  return lengths;
}

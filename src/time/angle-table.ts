import { checkLengths } from '../core/check-lengths.js';
import { firstWhere } from '../core/first-where.js';
import { runningSum } from '../core/sum.js';

export interface AngleTableInput {
  /** (F) */
  readonly mask: Uint8Array;
  /** (F) */
  readonly minutes: Float64Array;
  /** (F) |∇f| */
  readonly gradients: Float64Array;
  /** (3 F) wall angles at the corners, rad */
  readonly cornerAngles: Float64Array;
  /** (n) wall angles, rad, ascending */
  readonly borders: readonly number[];
}

/**
 * Running sums over the wall angle. The n borders make n + 1 bins, bin `i` lying below border `i`; a border
 * belongs to the bin above it.
 */
export type AngleTable = Readonly<ReturnType<typeof cumulateByAngle>>;

/**
 * Sorts facets into bins of wall angle, a facet across borders by the share of its area on either side (the
 * angle being linear over the facet), and sums up from both ends.
 *
 * @throws {RangeError} for borders out of order or corner angles that do not fit
 */
export function cumulateByAngle(input: AngleTableInput) {
  const { mask, minutes, gradients, cornerAngles, borders } = input;
  if (borders.some((border, i) => i > 0 && !(border > borders[i - 1]))) {
    throw new RangeError(`cumulateByAngle: borders ${borders.slice(0, 5)}..., expected ascending`);
  }
  checkLengths('cumulateByAngle', { 'corner angles': [cornerAngles.length, 3 * mask.length] });
  const sums = Array.from({ length: borders.length + 1 }, runningSum);
  const least = new Float64Array(borders.length + 1).fill(Infinity);
  for (let f = 0; f < mask.length; f++) {
    if (!mask[f]) continue;
    const o = 3 * f;
    const a = Math.min(cornerAngles[o], cornerAngles[o + 1], cornerAngles[o + 2]);
    const c = Math.max(cornerAngles[o], cornerAngles[o + 1], cornerAngles[o + 2]);
    const b = cornerAngles[o] + cornerAngles[o + 1] + cornerAngles[o + 2] - a - c;
    let done = 0;
    for (let bin = firstWhere(borders.length, (i) => borders[i] > a); done < 1; bin++) {
      const share = bin < borders.length ? shareBelow(a, b, c, borders[bin]) : 1;
      if (share > done) {
        sums[bin].add((share - done) * minutes[f]);
        if (gradients[f] < least[bin]) least[bin] = gradients[f];
      }
      done = Math.max(done, share);
    }
  }
  return accumulate(
    sums.map((sum) => sum.value()),
    least,
  );
}

/** Share of a triangle's area where a linear function with corner values a <= b <= c lies below t. */
function shareBelow(a: number, b: number, c: number, t: number): number {
  if (t <= a) return 0;
  if (t >= c) return t > c || a < c ? 1 : 0;
  return t <= b ? ((t - a) * (t - a)) / ((b - a) * (c - a)) : 1 - ((c - t) * (c - t)) / ((c - b) * (c - a));
}

function accumulate(minutes: readonly number[], least: Float64Array) {
  const bins = minutes.length;
  const minutesFrom = new Float64Array(bins + 1),
    minutesTo = new Float64Array(bins);
  const gradientFrom = new Float64Array(bins + 1).fill(Infinity),
    gradientTo = new Float64Array(bins);
  const up = runningSum(),
    down = runningSum();
  for (let i = 0; i < bins; i++) {
    up.add(minutes[i]);
    minutesTo[i] = up.value();
    gradientTo[i] = Math.min(least[i], i > 0 ? gradientTo[i - 1] : Infinity);
    const j = bins - 1 - i;
    down.add(minutes[j]);
    minutesFrom[j] = down.value();
    gradientFrom[j] = Math.min(least[j], gradientFrom[j + 1]);
  }
  return {
    /** (n + 2) minutes of the bins `i` and up */
    minutesFrom,
    /** (n + 1) minutes of the bins up to and with `i` */
    minutesTo,
    /** (n + 2), (n + 1) smallest |∇f| likewise; `Infinity` where there is no facet */
    gradientFrom,
    gradientTo,
  };
}

import { firstWhere } from '../core/first-where.js';
import { rowsOf } from '../core/rows-of.js';

/** What is known at some places, and what that tells of others. */
export interface LocalFit {
  /**
   * About what is found at a place: never less or more than at the known places around.
   *
   * @param traits (N x `count`)
   * @param place whose row it is
   */
  at(traits: Float64Array, place: number): number;
  /** How far what is known at the places around the last one asked for lies apart. */
  spread(): number;
  /** The most that is known at the places around. */
  mostAround(traits: Float64Array, place: number): number;
}

/** What tells places apart. */
export interface Traits {
  /** distances are in all of so many numbers */
  readonly count: number;
  /** slopes are in so many of the first */
  readonly slopes: number;
}

/** Known places that tell of one. */
const AROUND = 6;
/** So much is added to how far they lie apart: where they tell of no slope there is none. */
const LEVELLING = 0.02;
/** The furthest of the places around weighs next to nothing, not nothing: there may be no others. */
const BEYOND = 1.05,
  TINY = 1e-12;

/**
 * Linear fits, each through the nearest places, near ones weighing more (W. S. Cleveland, Robust locally weighted
 * regression, J. Am. Stat. Assoc. 74 (1979), from memory).
 *
 * @param values (N x `count`) of the places at which something is known, one at least
 * @param heights (N) what that is
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function localFit(values: Float64Array, { count, slopes }: Traits, heights: Float64Array): LocalFit {
  const widest = widestTrait(values, count);
  // What is known lies in the order of the trait in which the places differ most, each with its traits beside it.
  const order = Int32Array.from(heights.keys()).sort(
    (a, b) => values[count * a + widest] - values[count * b + widest],
  );
  const own = rowsOf(values, order, count),
    found = rowsOf(heights, order, 1);
  const near = new Int32Array(AROUND),
    squares = new Float64Array(AROUND);
  const middle = new Float64Array(slopes),
    matrix = new Float64Array(slopes * slopes),
    right = new Float64Array(slopes);
  let around = 0,
    least = 0,
    most = 0;

  /** What lies no nearer than those around the place asked about before is not looked at. */
  let farthest = Infinity;
  /** Takes a known place in if it is near enough; false: none further along the list is. */
  const take = (i: number, values: Float64Array, o: number): boolean => {
    const limit = around < AROUND ? farthest : squares[AROUND - 1];
    if ((own[count * i + widest] - values[o + widest]) ** 2 > limit) return false;
    const square = squareTo(i, values, o);
    if (square > limit || (around === AROUND && square === limit)) return true;
    let at = around < AROUND ? around++ : AROUND - 1;
    for (; at > 0 && squares[at - 1] > square; at--) {
      squares[at] = squares[at - 1];
      near[at] = near[at - 1];
    }
    squares[at] = square;
    near[at] = i;
    return true;
  };
  const squareTo = (i: number, values: Float64Array, o: number): number => {
    let square = 0;
    for (let k = 0; k < count; k++) square += (own[count * i + k] - values[o + k]) ** 2;
    return square;
  };
  const find = (values: Float64Array, o: number): void => {
    const from = values[o + widest];
    farthest = around < AROUND ? Infinity : 0;
    for (let n = 0; n < around && farthest < Infinity; n++)
      farthest = Math.max(farthest, squareTo(near[n], values, o));
    around = 0;
    let up = firstWhere(order.length, (i) => own[count * i + widest] >= from),
      down = up - 1;
    while (up < order.length || down >= 0) {
      if (up < order.length && !take(up++, values, o)) up = order.length;
      if (down >= 0 && !take(down--, values, o)) down = -1;
    }
  };
  const fitted = (values: Float64Array, o: number): number => {
    let weights = 0,
      mean = 0;
    least = Infinity;
    most = -Infinity;
    const furthest = BEYOND * squares[around - 1] + TINY;
    middle.fill(0);
    matrix.fill(0);
    right.fill(0);
    for (let i = 0; i < around; i++) {
      const weight = (1 - squares[i] / furthest) ** 2,
        value = found[near[i]];
      weights += weight;
      mean += weight * value;
      least = Math.min(least, value);
      most = Math.max(most, value);
      for (let k = 0; k < slopes; k++) middle[k] += weight * own[count * near[i] + k];
    }
    if (least === most) return least;
    mean /= weights;
    for (let k = 0; k < slopes; k++) middle[k] /= weights;
    for (let i = 0; i < around; i++) {
      const weight = (1 - squares[i] / furthest) ** 2,
        p = count * near[i];
      for (let k = 0; k < slopes; k++) {
        const off = weight * (own[p + k] - middle[k]);
        right[k] += off * (found[near[i]] - mean);
        for (let l = 0; l <= k; l++) matrix[k * slopes + l] += off * (own[p + l] - middle[l]);
      }
    }
    solveLevelled(matrix, right, slopes);
    let value = mean;
    for (let k = 0; k < slopes; k++) value += right[k] * (values[o + k] - middle[k]);
    return Math.max(least, Math.min(most, value));
  };
  return {
    at: (traits, place) => {
      find(traits, count * place);
      return fitted(traits, count * place);
    },
    spread: () => most - least,
    mostAround: (traits, place) => {
      find(traits, count * place);
      return near.subarray(0, around).reduce((most, i) => Math.max(most, found[i]), -Infinity);
    },
  };
}

/** Solves a positive semidefinite system by Cholesky, levelled (see `LEVELLING`). @param right in: right side, out: answer */
function solveLevelled(matrix: Float64Array, right: Float64Array, n: number): void {
  let trace = 0;
  for (let k = 0; k < n; k++) trace += matrix[k * n + k];
  for (let k = 0; k < n; k++) {
    matrix[k * n + k] += LEVELLING * trace + TINY;
    for (let l = 0; l <= k; l++) {
      let sum = matrix[k * n + l];
      for (let m = 0; m < l; m++) sum -= matrix[k * n + m] * matrix[l * n + m];
      matrix[k * n + l] = l === k ? Math.sqrt(sum) : sum / matrix[l * n + l];
    }
    for (let m = 0; m < k; m++) right[k] -= matrix[k * n + m] * right[m];
    right[k] /= matrix[k * n + k];
  }
  for (let k = n - 1; k >= 0; k--) {
    for (let m = k + 1; m < n; m++) right[k] -= matrix[m * n + k] * right[m];
    right[k] /= matrix[k * n + k];
  }
}

function widestTrait(values: Float64Array, count: number): number {
  const ranges = Array.from({ length: count }, (_, k) => {
    let least = Infinity,
      most = -Infinity;
    for (let i = k; i < values.length; i += count) {
      least = Math.min(least, values[i]);
      most = Math.max(most, values[i]);
    }
    return most - least;
  });
  return ranges.indexOf(Math.max(...ranges));
}

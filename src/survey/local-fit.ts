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

/** Known places that lie together in the tree. */
const LEAF = 6;
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
  const { order, parting, border } = partedByTraits(values, count);
  const own = rowsOf(values, order, count),
    found = rowsOf(heights, order, 1);
  const near = new Int32Array(AROUND),
    squares = new Float64Array(AROUND);
  const middle = new Float64Array(slopes),
    matrix = new Float64Array(slopes * slopes),
    right = new Float64Array(slopes);
  /** what lies further off than this is not taken in, squared */
  let limit = Infinity;
  let around = 0,
    least = 0,
    most = 0;

  const squareTo = (i: number, values: Float64Array, o: number): number => {
    let square = 0;
    for (let k = 0, p = count * i; k < count; k++) square += (own[p + k] - values[o + k]) ** 2;
    return square;
  };
  /** Takes a known place in among those around, if it is near enough. */
  const take = (i: number, square: number): void => {
    if (square > limit || (around === AROUND && square === limit)) return;
    let at = around < AROUND ? around++ : AROUND - 1;
    for (; at > 0 && squares[at - 1] > square; at--) {
      squares[at] = squares[at - 1];
      near[at] = near[at - 1];
    }
    squares[at] = square;
    near[at] = i;
    if (around === AROUND) limit = squares[AROUND - 1];
  };
  /** Takes in those of a range of what is known that are near enough. */
  const look = (values: Float64Array, o: number, from: number, to: number): void => {
    if (to - from <= LEAF) {
      for (let i = from; i < to; i++) take(i, squareTo(i, values, o));
      return;
    }
    const middle = (from + to) >> 1;
    const off = values[o + parting[middle]] - border[middle];
    if (off < 0) look(values, o, from, middle);
    else look(values, o, middle, to);
    if (off * off > limit) return;
    if (off < 0) look(values, o, middle, to);
    else look(values, o, from, middle);
  };
  const find = (values: Float64Array, o: number): void => {
    // What lies no nearer than those around the place asked about before is not looked at.
    let farthest = around < AROUND ? Infinity : 0;
    for (let n = 0; n < around && farthest < Infinity; n++)
      farthest = Math.max(farthest, squareTo(near[n], values, o));
    limit = farthest;
    around = 0;
    look(values, o, 0, found.length);
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

interface Parted {
  readonly order: Int32Array;
  /** (N) of the range whose middle it is, the trait by which it is parted, and where */
  readonly parting: Uint8Array;
  readonly border: Float64Array;
}

/**
 * Rows in an order in which each range is parted at its middle, by the trait in which it is widest: a k-d tree
 * (J. L. Bentley, Multidimensional binary search trees, Comm. ACM 18 (1975), from memory).
 */
function partedByTraits(values: Float64Array, count: number): Parted {
  const order = Int32Array.from({ length: values.length / count }, (_, i) => i),
    parting = new Uint8Array(order.length),
    border = new Float64Array(order.length);
  const part = (from: number, to: number): void => {
    if (to - from <= LEAF) return;
    const middle = (from + to) >> 1,
      trait = widestTrait(values, count, order, from, to);
    select(order, from, to - 1, middle, (i) => values[count * i + trait]);
    parting[middle] = trait;
    border[middle] = values[count * order[middle] + trait];
    part(from, middle);
    part(middle, to);
  };
  part(0, order.length);
  return { order, parting, border };
}

/** Puts the item that belongs at a place there, smaller ones before and greater ones after it (C. A. R. Hoare). */
function select(
  order: Int32Array,
  from: number,
  to: number,
  place: number,
  keyOf: (item: number) => number,
): void {
  while (from < to) {
    const pivot = keyOf(order[place]);
    let i = from,
      j = to;
    while (i <= j) {
      while (keyOf(order[i]) < pivot) i++;
      while (keyOf(order[j]) > pivot) j--;
      if (i > j) break;
      const item = order[i];
      order[i++] = order[j];
      order[j--] = item;
    }
    if (j < place) from = i;
    if (place < i) to = j;
  }
}

function widestTrait(
  values: Float64Array,
  count: number,
  order: Int32Array,
  from: number,
  to: number,
): number {
  let widest = 0,
    range = -1;
  for (let k = 0; k < count; k++) {
    let least = Infinity,
      most = -Infinity;
    for (let i = from; i < to; i++) {
      const value = values[count * order[i] + k];
      least = Math.min(least, value);
      most = Math.max(most, value);
    }
    if (most - least <= range) continue;
    range = most - least;
    widest = k;
  }
  return widest;
}

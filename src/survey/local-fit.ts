import { firstWhere } from '../core/first-where.js';

/** What is known at some places, and what that tells of others. */
export interface LocalFit {
  /** About what is found where the traits are these: never less or more than at the known places around. */
  at(traits: ArrayLike<number>): number;
  /** The most that is known at the places around. */
  mostAround(traits: ArrayLike<number>): number;
}

/** Known places that tell of one. */
const AROUND = 6;
/** So much is added to how far they lie apart: where they tell of no slope there is none. */
const LEVELLING = 0.02;

/**
 * Linear fits, each through the nearest places, near ones weighing more (W. S. Cleveland, Robust locally weighted
 * regression, J. Am. Stat. Assoc. 74 (1979), from memory).
 *
 * @param traits of each known place, one at least; distances are in all of them, slopes in the first `slopes`
 * @param values (N)
 */
export function localFit(
  traits: readonly ArrayLike<number>[],
  values: ArrayLike<number>,
  slopes: number,
): LocalFit {
  const find = nearestOf(traits);
  const scratch = fitScratch(slopes);
  return {
    at: (at) => fitted(at, traits, values, find(at), scratch),
    mostAround: (at) => {
      const { ids, count } = find(at);
      return ids.subarray(0, count).reduce((most, id) => Math.max(most, values[id]), -Infinity);
    },
  };
}

interface FitScratch {
  readonly slopes: number;
  readonly middle: Float64Array;
  readonly matrix: Float64Array;
  readonly right: Float64Array;
}

const fitScratch = (slopes: number): FitScratch => ({
  slopes,
  middle: new Float64Array(slopes),
  matrix: new Float64Array(slopes * slopes),
  right: new Float64Array(slopes),
});

function fitted(
  at: ArrayLike<number>,
  traits: readonly ArrayLike<number>[],
  values: ArrayLike<number>,
  { ids, squares, count }: Nearest,
  { slopes, middle, matrix, right }: FitScratch,
): number {
  const weightOf = (i: number): number => (1 - squares[i] / (BEYOND * squares[count - 1] + TINY)) ** 2;
  let weights = 0,
    mean = 0,
    least = Infinity,
    most = -Infinity;
  middle.fill(0);
  matrix.fill(0);
  right.fill(0);
  for (let i = 0; i < count; i++) {
    const weight = weightOf(i),
      value = values[ids[i]];
    weights += weight;
    mean += weight * value;
    least = Math.min(least, value);
    most = Math.max(most, value);
    for (let k = 0; k < slopes; k++) middle[k] += weight * traits[ids[i]][k];
  }
  mean /= weights;
  for (let k = 0; k < slopes; k++) middle[k] /= weights;
  for (let i = 0; i < count; i++) {
    const own = traits[ids[i]],
      weight = weightOf(i);
    for (let k = 0; k < slopes; k++) {
      const off = weight * (own[k] - middle[k]);
      right[k] += off * (values[ids[i]] - mean);
      for (let l = 0; l <= k; l++) matrix[k * slopes + l] += off * (own[l] - middle[l]);
    }
  }
  solveLevelled(matrix, right, slopes);
  let value = mean;
  for (let k = 0; k < slopes; k++) value += right[k] * (at[k] - middle[k]);
  return Math.max(least, Math.min(most, value));
}

/** The furthest of the places around weighs next to nothing, not nothing: there may be no others. */
const BEYOND = 1.05,
  TINY = 1e-12;

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

interface Nearest {
  /** nearest first */
  readonly ids: Int32Array;
  readonly squares: Float64Array;
  count: number;
}

/** A search for the known places nearest to one: those of a list sorted by the trait in which they differ most. */
function nearestOf(traits: readonly ArrayLike<number>[]): (at: ArrayLike<number>) => Nearest {
  const widest = widestTrait(traits);
  const order = Int32Array.from(traits.keys()).sort((a, b) => traits[a][widest] - traits[b][widest]);
  const found: Nearest = { ids: new Int32Array(AROUND), squares: new Float64Array(AROUND), count: 0 };
  const { ids, squares } = found;
  /** Takes a place in if it is near enough; false: none further along the list is. */
  const take = (id: number, at: ArrayLike<number>): boolean => {
    const own = traits[id],
      limit = found.count < AROUND ? Infinity : squares[AROUND - 1];
    if ((own[widest] - at[widest]) ** 2 >= limit) return false;
    let square = 0;
    for (let k = 0; k < own.length; k++) square += (own[k] - at[k]) ** 2;
    if (square >= limit) return true;
    let i = found.count < AROUND ? found.count++ : AROUND - 1;
    for (; i > 0 && squares[i - 1] > square; i--) {
      squares[i] = squares[i - 1];
      ids[i] = ids[i - 1];
    }
    squares[i] = square;
    ids[i] = id;
    return true;
  };
  return (at) => {
    found.count = 0;
    let up = firstWhere(order.length, (i) => traits[order[i]][widest] >= at[widest]),
      down = up - 1;
    while (up < order.length || down >= 0) {
      if (up < order.length && !take(order[up++], at)) up = order.length;
      if (down >= 0 && !take(order[down--], at)) down = -1;
    }
    return found;
  };
}

function widestTrait(traits: readonly ArrayLike<number>[]): number {
  const ranges = Array.from(traits[0], (_, k) => {
    let least = Infinity,
      most = -Infinity;
    for (const own of traits) {
      least = Math.min(least, own[k]);
      most = Math.max(most, own[k]);
    }
    return most - least;
  });
  return ranges.indexOf(Math.max(...ranges));
}

import { runningSum } from '../core/sum.js';

/** Ridges in bands about the height asked for, as the tables count them. */
export interface RidgeBands {
  /** between the bands, ascending, mm; one fewer than the bands that have a height */
  readonly limitsMm: readonly number[];
  /** (F) band of each facet; `noRidge` and `left` after the last */
  readonly bandOf: Uint8Array;
  /** of each band, and where passes do not meet, mm² */
  readonly areasMm2: readonly number[];
}

/** Bands end at these multiples of the height asked for. */
const MULTIPLES = [0.4, 1, 2, 4, 10];
/** A ridge counts as above the asked height from this multiple of it: below lies rounding. */
export const ABOVE = 1.001;
/** Band where neighbouring passes do not meet, and where the cutter of the passes does not cut. */
export const NO_RIDGE = MULTIPLES.length + 1,
  LEFT_TO_OTHERS = MULTIPLES.length + 2;

/**
 * Sorts facets by their ridge, and sums what the cutter reaches of them.
 *
 * @param heights (F) mm; Infinity: passes do not meet; NaN: none cuts
 * @param reached (F) area that the cutter of the passes reaches, mm²
 * @param areas (F) mm²
 */
export function ridgeBands(
  heights: Float64Array,
  reached: Float64Array,
  areas: Float64Array,
  askedMm: number,
): RidgeBands {
  const limitsMm = MULTIPLES.map((multiple) => multiple * askedMm);
  const sums = Array.from({ length: NO_RIDGE + 1 }, runningSum);
  const bandOf = Uint8Array.from(heights, (height, f) => {
    if (Number.isNaN(height)) return LEFT_TO_OTHERS;
    const above = limitsMm.findIndex((limit) => !(height > ABOVE * limit));
    const band = height === Infinity ? NO_RIDGE : above < 0 ? limitsMm.length : above;
    sums[band].add(reached[f]);
    return 2 * reached[f] < areas[f] ? LEFT_TO_OTHERS : band;
  });
  return { limitsMm, bandOf, areasMm2: sums.map((sum) => sum.value()) };
}

import { edgeKey } from '../surface/edge-key.js';

/**
 * Where on an edge the border of a radius lies, if what was asked shows it.
 *
 * @param out vertex that the radius does not reach
 * @param reached vertex that it does
 * @returns fraction of the edge from `out`, 0 .. 1; NaN: to be asked
 */
export type BorderTold = (out: number, reached: number, radius: number) => number;

export const NOTHING_TOLD: BorderTold = () => NaN;

/** A middle whose reach radius is off the mean of the ends' by no more, mm and as a share, shows a straight course. */
const STRAIGHT_MM = 0.005,
  STRAIGHT_OF = 0.008;

/**
 * Whether reach radii run straight from one end of an edge over its middle to the other, as far as they are told
 * apart. Along either half they are then off a line by about a quarter of what the middle may be.
 *
 * @param most radii above are not told apart, mm
 */
export function isStraight(from: number, middle: number, to: number, most: number): boolean {
  const found = Math.min(most, middle);
  const off = Math.abs(found - 0.5 * (Math.min(most, from) + Math.min(most, to)));
  return off <= STRAIGHT_MM + STRAIGHT_OF * found;
}

/**
 * Borders that follow from the ends and the middles of edges along which reach radii run straight.
 *
 * @param reach (V) mm; `most` and more: all radii
 * @param middles by `edgeKey`, mm
 * @param isLinear (V) 1 where reach runs straight to vertices that say the same
 */
export function toldByMiddles(
  reach: Float64Array,
  middles: ReadonlyMap<number, number>,
  isLinear: Uint8Array,
  most: number,
): BorderTold {
  return (out, reached, radius) => {
    const middle = middles.get(edgeKey(out, reached));
    const [from, to] = [reach[out], reach[reached]];
    if (middle === undefined) {
      const isTold = isLinear[out] === 1 && isLinear[reached] === 1;
      return isTold && to < Infinity ? (radius - from) / (to - from) : NaN;
    }
    if (!isStraight(from, middle, to, most)) return NaN;
    const [low, high, first] = middle < radius ? [middle, to, 0.5] : [from, middle, 0];
    // Where all radii reach it is not known how far.
    return high < Infinity ? first + (0.5 * (radius - low)) / (high - low) : NaN;
  };
}

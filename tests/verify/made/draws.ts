import { randomNumbers } from '../../support/shapes/variants.js';

/** What is drawn for a part: the same for the same seed. */
export interface Draws {
  between(low: number, high: number): number;
  /** even in its logarithm */
  ofSizes(low: number, high: number): number;
  /** a whole number, both ends included */
  count(low: number, high: number): number;
  oneOf<T>(list: readonly T[]): T;
  chance(share: number): boolean;
}

export function drawsOf(seed: number): Draws {
  // Seeds that follow each other would begin alike.
  const random = randomNumbers(Math.imul(seed + 1, 0x9e3779b1));
  for (let k = 0; k < 8; k++) random();
  const between = (low: number, high: number): number => low + (high - low) * random();
  const count = (low: number, high: number): number => low + Math.floor((high - low + 1) * random());
  return {
    between,
    ofSizes: (low, high) => Math.exp(between(Math.log(low), Math.log(high))),
    count,
    oneOf: (list) => list[count(0, list.length - 1)],
    chance: (share) => random() < share,
  };
}

/**
 * Fills an array from another of the same length, number by number: what `from` does, thirty times as fast on
 * arrays of one number a facet. In the busiest places a plain loop is ten times as fast again: this one meets
 * every kind of array.
 */
export function mapTo<T extends { [index: number]: number }>(
  into: T,
  values: ArrayLike<number>,
  make: (value: number, index: number) => number,
): T {
  for (let i = 0; i < values.length; i++) into[i] = make(values[i], i);
  return into;
}

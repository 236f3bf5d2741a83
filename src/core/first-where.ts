/**
 * The first of so many places in order at which something holds, where it holds at all after it: by halving.
 *
 * @returns 0 to `count`; `count` where it holds nowhere
 */
export function firstWhere(count: number, holds: (place: number) => boolean): number {
  let from = 0,
    to = count;
  while (from < to) {
    const middle = (from + to) >> 1;
    if (holds(middle)) to = middle;
    else from = middle + 1;
  }
  return from;
}

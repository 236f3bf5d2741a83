/**
 * A figure for people: at most so many decimals, no exponent. What is too small to be shown and more than rounding is
 * told as less than the least shown; below 0 it is 0.
 */
export function figure(value: number, decimals: number): string {
  const fixed = Number(value.toFixed(decimals));
  if (fixed === 0 && value > ROUNDING) return `under ${(10 ** -decimals).toFixed(decimals)}`;
  return String(fixed + 0);
}

/** Areas of slivers, gaps of facets that touch: no figure of a part is meant below this. */
const ROUNDING = 1e-9;

/** Decimals beyond which nothing is told. */
const MOST_DECIMALS = 4;

/** A figure for people with so many significant digits, no exponent; a planning figure is not known to the penny. */
export const digits = (value: number, count = 3): string =>
  Math.abs(value) < 10 ** -MOST_DECIMALS ? figure(value, MOST_DECIMALS) : String(significant(value, count));

/** A number with so many significant digits. */
export const significant = (value: number, count: number): number => Number(value.toPrecision(count));

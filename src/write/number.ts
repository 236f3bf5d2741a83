/**
 * Significant digits of every number written: enough to add areas up to 1e-9, too few to show rounding noise.
 */
const DIGITS = 12;

/**
 * A number as the files write it: 12 significant digits, no negative zero.
 *
 * @throws {RangeError} if it is not finite: "no limit" and "not computed" have words of their own
 */
export function roundedForFile(value: number): number {
  if (!Number.isFinite(value)) throw new RangeError(`roundedForFile: ${value} cannot be written`);
  return Number(value.toPrecision(DIGITS)) + 0;
}

/** A length in plan rounded to 0.0001 mm, no negative zero. @throws {RangeError} if it is not finite */
export function roundedPlanMm(value: number): number {
  if (!Number.isFinite(value)) throw new RangeError(`roundedPlanMm: ${value} cannot be written`);
  return Math.round(value * 1e4) / 1e4 + 0;
}

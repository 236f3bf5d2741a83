/** What a thickness may be off by, as a share of it and of the tolerance. */
const ACCURACY = 0.01,
  OF_TOLERANCE = 0.25;
/** First step up from the foot, in radii. */
const THIN = 0.05;
/** First step down from a height that is cleared, in what it may be off by; the next are twice the one before. */
const DOWN = 8;

export interface ColumnOptions {
  /**
   * Lowest height over a plan point that one place of the cutter clears which touches the height z there, too, mm;
   * NaN: none touches z.
   */
  readonly clearedAt: (x: number, y: number, z: number) => number;
  /** DC/2, mm */
  readonly radiusMm: number;
  readonly toleranceMm: number;
}

/**
 * How much material a cutter leaves over a point of the part, straight upwards.
 *
 * @param most up to the top of the part, mm: no more is looked for
 * @param guess about as high as it may be, mm; any number is as right
 * @returns mm, within a quarter of the tolerance or 1 % of itself; 0: less
 */
export function columnThickness(
  x: number,
  y: number,
  z: number,
  most: number,
  guess: number,
  { clearedAt, radiusMm, toleranceMm }: ColumnOptions,
): number {
  const accuracy = OF_TOLERANCE * toleranceMm;
  const within = (thickness: number): number => Math.max(accuracy, ACCURACY * thickness);
  let low = 0,
    high = Infinity,
    down = DOWN,
    next = Math.min(most, guess + within(guess)),
    isNearest = true;
  while (high - low > within(low)) {
    const cleared = clearedAt(x, y, z + next);
    if (cleared <= z + next) {
      high = Math.max(low, cleared - z);
      const middle = 0.5 * (low + high);
      next = isNearest ? high - 0.99 * within(high) : Math.max(middle, high - down * within(high));
      if (!isNearest) down *= 2;
      isNearest = !isNearest;
    } else {
      if (next === most) return most;
      low = next;
      next = high < Infinity ? 0.5 * (low + high) : Math.min(most, low + Math.max(low, THIN * radiusMm));
    }
  }
  return high > accuracy ? high : 0;
}

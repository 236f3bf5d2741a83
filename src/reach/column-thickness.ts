/** What a thickness may be off by, as a share of it and of the tolerance. */
const ACCURACY = 0.01,
  OF_TOLERANCE = 0.25;
/** First step up, in radii. */
const THIN = 0.05;

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
 * @returns mm, within a quarter of the tolerance or 1 % of itself; 0: less
 */
export function columnThickness(
  x: number,
  y: number,
  z: number,
  most: number,
  { clearedAt, radiusMm, toleranceMm }: ColumnOptions,
): number {
  const accuracy = OF_TOLERANCE * toleranceMm,
    top = z + most;
  if (clearedAt(x, y, z + accuracy) <= z + accuracy) return 0;
  let low = z,
    high = Infinity;
  // Most of what is left is thin beside the cutter: upwards in growing steps.
  for (let step = THIN * radiusMm; high - low > Math.max(accuracy, ACCURACY * (low - z)); ) {
    const next = high < Infinity ? 0.5 * (low + high) : Math.min(top, z + step);
    const cleared = clearedAt(x, y, next);
    if (cleared <= next) high = Math.max(low, cleared);
    else if (next === top) return most;
    else low = next;
    step *= 2;
  }
  // The place that clears so far is mostly the best there is.
  return high - z;
}

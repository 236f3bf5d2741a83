import type { PartFigures } from './measure-part.js';

/** More than so much more or less than the baseline is flagged. */
const FLAGGED = 0.1;

/** What is compared: seconds as multiples of the reference's, so that another machine may be compared. */
const COMPARED = ['cpu', 'memoryMB', 'facetsClassed', 'facetsRefined', 'pointsAsked', 'waves'] as const;

export interface ComparedFigures extends PartFigures {
  /** processor seconds as a multiple of the reference's */
  readonly cpu: number;
}

/** One line for each figure that differs from the baseline by more than a tenth. */
export function changesFrom(baseline: ComparedFigures | undefined, now: ComparedFigures): string[] {
  if (!baseline) return ['not in the baseline'];
  return COMPARED.flatMap((key) => {
    const [before, after] = [baseline[key], now[key]];
    const change = after / before - 1;
    if (before === after || Math.abs(change) <= FLAGGED) return [];
    return [`${key} ${change > 0 ? '+' : ''}${(100 * change).toFixed(0)} %: ${before} before, ${after} now`];
  });
}

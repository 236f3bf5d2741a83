import type { Cutter } from '../cutter/catalogue.js';

/** What a cutter leaves, as far as the choice of a ladder needs it. */
export interface CutterReach {
  readonly cutter: Cutter;
  readonly unreachedAreaMm2: number;
}

/**
 * The first cutter of the ladder: the largest ball that reaches at least `share` of the machinable area; the
 * one that leaves least if none does.
 *
 * @param reaches ascending by radius, not empty
 */
export function firstCutter(
  reaches: readonly CutterReach[],
  machinableAreaMm2: number,
  share: number,
): number {
  const most = (1 - share) * machinableAreaMm2;
  const index = reaches.findLastIndex(({ unreachedAreaMm2 }) => unreachedAreaMm2 <= most);
  return Math.max(0, index);
}

/**
 * Indices of the ladder's cutters, large to small: the first one, then every smaller one that still gains.
 *
 * @param leastGainMm2 a cutter that finishes less than this more than the one before it is left out
 */
export function plainLadder(
  reaches: readonly CutterReach[],
  machinableAreaMm2: number,
  share: number,
  leastGainMm2: number,
): number[] {
  const ladder = [firstCutter(reaches, machinableAreaMm2, share)];
  for (let i = ladder[0] - 1; i >= 0; i--) {
    const left = reaches[ladder[ladder.length - 1]].unreachedAreaMm2;
    if (left - reaches[i].unreachedAreaMm2 > leastGainMm2) ladder.push(i);
  }
  return ladder;
}

import type { Plan } from '../../../src/plan/plan.js';
import { machinableOf, type Break } from './sums.js';

/** How much two surveys of one part may differ. */
export interface Likeness {
  /** what the other survey is of: `turned` */
  readonly name: string;
  /** of an area, a volume or minutes, as a share of the larger */
  readonly share: number;
  /** of an area, as a share of what is to be machined; of a volume, that as thick as the tolerance */
  readonly leastShare: number;
}

/** Where another survey of the same part tells something else. */
export function likenessBreaks(one: Plan, other: Plan, { name, share, leastShare }: Likeness): Break[] {
  const leastMm2 = leastShare * machinableOf(one);
  const breaks: Break[] = [];
  const compare = (what: string, a: number, b: number, least: number): void => {
    if (Math.abs(a - b) > Math.max(least, share * Math.max(a, b)))
      breaks.push({ invariant: `${name}: ${what}`, detail: `${a.toPrecision(5)}, then ${b.toPrecision(5)}` });
  };
  for (const cls of Object.keys(one.classes) as (keyof Plan['classes'])[])
    compare(`area of ${cls}`, one.classes[cls].areaMm2, other.classes[cls].areaMm2, leastMm2);
  one.reach.byRadius.forEach(({ radiusMm, unreachedAreaMm2, restVolumeMm3 }, i) => {
    const its = other.reach.byRadius[i];
    compare(`unreached, R ${radiusMm}`, unreachedAreaMm2, its.unreachedAreaMm2, leastMm2);
    const leastMm3 = one.reach.toleranceMm * 20 * leastMm2;
    // Columns tell a rest to some per cent.
    if (Math.abs((restVolumeMm3 ?? 0) - (its.restVolumeMm3 ?? 0)) > 0.05 * (restVolumeMm3 ?? 0))
      compare(`rest, R ${radiusMm}`, restVolumeMm3 ?? NaN, its.restVolumeMm3 ?? NaN, leastMm3);
  });
  compare('finishing minutes', one.time.totalMinutes, other.time.totalMinutes, 0.5);
  // Roughing goes by a grid.
  const [a, b] = [one, other].map(({ operations }) => operations.totalMinutes);
  if (Math.abs(one.block.toRemoveMm3 / other.block.toRemoveMm3 - 1) < 0.02)
    compare('minutes of all stages', a, b, Math.max(1, 0.05 * a));
  const ids = (plan: Plan): string => plan.ladder.map(({ cutterId }) => cutterId).join(' ');
  // Ladders as long as each other, but for what a cutter must save, are as good.
  const isAsGood = Math.abs(one.time.totalMinutes - other.time.totalMinutes) < one.setup.leastGainMinutes;
  if (ids(one) !== ids(other) && !isAsGood)
    breaks.push({ invariant: `${name}: cutters`, detail: `${ids(one)}, then ${ids(other)}` });
  return breaks;
}

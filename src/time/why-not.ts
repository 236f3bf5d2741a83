import { digits } from '../core/figures.js';
import type { Choice, Known } from './ladder.js';
import type { Way } from './ladder-search.js';

/** Another sequence than the chosen one, and what it changes. */
export interface Other {
  /** candidates in order of use */
  readonly path: readonly number[];
  /** what the job takes longer with it; below 0: it is shorter and leaves more */
  readonly extraMinutes: number;
  /** what it leaves beyond what the chosen one leaves, mm² */
  readonly moreLeftMm2: number;
}

/** What a cutter would do in the best sequence that has it. */
export interface Part {
  /** its cutting and the change to it */
  readonly ownMinutes: number;
  readonly finishedAreaMm2: number;
  /** cutters of the chosen sequence that are not in this one */
  readonly insteadOf: readonly number[];
  /** cutters of this one, itself left out, that are not in the chosen sequence */
  readonly besides: readonly number[];
}

/** Why a cutter is not in the sequence. */
export interface LeftOut {
  readonly id: string;
  readonly reason: 'barred' | 'reaches-nothing-more' | 'saves-too-little' | 'below-first-share';
  /** with figures */
  readonly detail: string;
  /** what the job would take longer with it; null: not known, or it cannot be used */
  readonly extraMinutes: number | null;
  /** null: likewise */
  readonly part: Part | null;
  /** the chosen sequence and it; null: likewise */
  readonly added: Other | null;
}

/** Less is not told. */
const LEAST_TOLD_MINUTES = 5e-4;

export function whyLeftOut(known: Known, choice: Choice, at: number): Omit<LeftOut, 'added'> {
  const { candidates, usable, totalMm2, alone, upTo, leastGainMm2, firstShare, byMinutes, leftByUsableMm2 } =
    known;
  const { best } = choice;
  const { id, barred } = candidates[at];
  const cannot = { id, extraMinutes: null, part: null };
  if (barred !== null && !usable.includes(at)) return { ...cannot, reason: 'barred', detail: barred };
  const way = choice.through(at);
  const extraMinutes = way && way.minutes - best.minutes,
    part = way && partOf(choice, way, at);
  const before = usable.findLast((other) => other < at);
  const gainMm2 = (before === undefined ? totalMm2 : upTo[before]) - upTo[at];
  if (gainMm2 <= leastGainMm2) {
    const others =
      byMinutes && before !== undefined ? `${candidates[before].id} does` : 'the cutters before it do';
    const much =
      gainMm2 > 1e-9 * totalMm2 ? `no more than ${gainMm2 < 0.1 ? '0.1' : digits(gainMm2)} mm²` : 'nothing';
    const detail = before === undefined ? 'it reaches nothing' : `it reaches ${much} that ${others} not`;
    return { id, reason: 'reaches-nothing-more', detail, extraMinutes, part };
  }
  if (extraMinutes === null || part === null) {
    const percent = (share: number): string => `${Math.floor(100 * share)} %`;
    const share = (totalMm2 - alone[at]) / (totalMm2 - leftByUsableMm2);
    const detail = `it reaches ${percent(share)} of what the cutters reach; the first must reach ${percent(firstShare)}`;
    return { ...cannot, reason: 'below-first-share', detail };
  }
  const { ownMinutes, finishedAreaMm2, insteadOf, besides } = part;
  const saved = ownMinutes - extraMinutes;
  const named = (how: string, some: readonly number[]): string =>
    some.length === 0 ? '' : `, ${how} ${some.map((one) => candidates[one].id).join(', ')}`;
  const detail =
    `its ${digits(finishedAreaMm2)} mm² take ${digits(ownMinutes)} min with the change and save ` +
    (saved < LEAST_TOLD_MINUTES ? 'nothing' : `${digits(saved)} min of the others`) +
    named('without', insteadOf) +
    named('and with', besides);
  return { id, reason: 'saves-too-little', detail, extraMinutes, part };
}

function partOf({ states, best }: Choice, { path }: Way, at: number): Part {
  const before = path
    .slice(0, path.indexOf(at))
    .reduce<readonly number[]>((members, one) => states.after(members, one), []);
  return {
    ownMinutes: states.minutes(before, at),
    finishedAreaMm2: states.leftMm2(before) - states.leftMm2(states.after(before, at)),
    insteadOf: best.path.filter((one) => !path.includes(one)),
    besides: path.filter((one) => one !== at && !best.path.includes(one)),
  };
}

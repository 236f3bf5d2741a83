import {
  fastestWays,
  isFirst,
  newAsked,
  START,
  statesOf,
  type Asked,
  type LadderOptions,
  type Way,
} from './ladder-search.js';
import { areaOf, groundOf, leftAfter, type Candidate, type Left } from './ladder-states.js';

/** One cutter of the chosen sequence. */
export interface Step {
  /** index of the candidate */
  readonly at: number;
  /** reached by it and by none before it */
  readonly finishedAreaMm2: number;
  /** what it and those before it leave */
  readonly left: Left;
  /** that, mm² */
  readonly leftAreaMm2: number;
  /** cutting, without the change of cutter before it */
  readonly minutes: number;
  /**
   * what the job takes longer without it; null: without it some area stays unreached, or nothing was compared
   */
  readonly savesMinutes: number | null;
}

/** Why a cutter is not in the sequence. */
export interface LeftOut {
  readonly id: string;
  readonly reason: 'barred' | 'reaches-nothing-more' | 'slower' | 'below-first-share';
  readonly detail: string;
  /** what the job would take longer with it; null: not known, or it cannot be used */
  readonly extraMinutes: number | null;
}

/** The candidates, and what follows from what they leave. */
type Known = ReturnType<typeof knownOf>;

interface Choice {
  readonly path: readonly number[];
  /** the next best sequence, and what it takes longer; null: there is none, or nothing was compared */
  readonly second: { readonly path: readonly number[]; readonly extraMinutes: number } | null;
  /** candidates that may be used */
  readonly usable: readonly number[];
  /** what the job takes longer without a cutter of the path, and with one that is not in it */
  readonly saves: (at: number) => number | null;
  readonly extra: (at: number) => number | null;
}

/**
 * Which cutters finish a part, in which order, and why the others do not. What several leave is of each facet
 * the least that any of them leaves.
 *
 * @param candidates mills, then the others, each from the largest to the smallest, at least one
 * @throws {RangeError} for none, or shares that do not fit the areas
 */
export function chooseSteps(candidates: readonly Candidate[], options: LadderOptions, asked = newAsked()) {
  const known = knownOf(candidates, options);
  const choice = options.byMinutes ? fastest(known, asked) : largestFirst(known);
  return {
    /** indices of the candidates in order of use, at least one */
    path: choice.path,
    second: choice.second,
    /** what each of them does, and why the others are not among them: compared anew with and without each */
    told: () => ({
      steps: stepsOf(known, choice),
      leftOut: [...candidates.keys()]
        .filter((at) => !choice.path.includes(at))
        .map((at) => whyLeftOut(known, choice, at)),
    }),
  };
}

function stepsOf(known: Known, { path, saves }: Choice): Step[] {
  const { candidates, totalMm2, minutes } = known;
  let before: Left | null = null,
    beforeMm2 = totalMm2;
  return path.map((at, i) => {
    const left = leftAfter(known, before, at),
      leftAreaMm2 = areaOf(known, left);
    const step = {
      at,
      finishedAreaMm2: beforeMm2 - leftAreaMm2,
      left,
      leftAreaMm2,
      minutes: minutes(before, at, isFirst(candidates, path.slice(0, i))),
      savesMinutes: saves(at),
    };
    before = left;
    beforeMm2 = leftAreaMm2;
    return step;
  });
}

function knownOf(candidates: readonly Candidate[], options: LadderOptions) {
  const ground = groundOf(candidates, options.areas);
  const alone = candidates.map((_, at) => areaOf(ground, leftAfter(ground, null, at)));
  let all: Left | null = null;
  const upTo = candidates.map((_, at) => {
    all = leftAfter(ground, all, at);
    return areaOf(ground, all);
  });
  // Where no cutter reaches the share, the one that reaches most must be allowed to begin.
  const least = Math.min(...alone.filter((_, at) => !candidates[at].isMill));
  const mayLeaveMm2 = Math.max(least * (1 + 1e-9), (1 - options.firstShare) * ground.totalMm2);
  return {
    ...options,
    ...ground,
    /** what each leaves by itself, and what is left when all up to it have run, mm² */
    alone,
    upTo,
    /** the most that a first cutter leaves, mm² */
    mayLeaveMm2,
  };
}

/** Mills that reach more, the largest cutter that may begin, then every smaller one that reaches more. */
function largestFirst(known: Known): Choice {
  const { candidates, totalMm2, mayLeaveMm2, leastGainMm2 } = known;
  const path: number[] = [];
  let left: Left | null = null,
    leftMm2 = totalMm2;
  for (const [at, own] of candidates.entries()) {
    const after = leftAfter(known, left, at),
      afterMm2 = areaOf(known, after);
    const mayBegin = !own.isMill && isFirst(candidates, path) && afterMm2 <= mayLeaveMm2;
    const mayFollow = own.isMill || !isFirst(candidates, path);
    if (!(mayFollow ? leftMm2 - afterMm2 > leastGainMm2 : mayBegin)) continue;
    path.push(at);
    left = after;
    leftMm2 = afterMm2;
  }
  return { path, second: null, usable: [...candidates.keys()], saves: () => null, extra: () => null };
}

/**
 * The fastest sequence that finishes all that any of the cutters can.
 *
 * A barred cutter, too short, is used all the same if it reaches what none that is not barred does: a longer
 * one of its size is easier to get than a corner that stays unfinished.
 */
function fastest(known: Known, asked: Asked): Choice {
  const { candidates, leastGainMm2 } = known;
  const graph = statesOf(known, asked);
  const long = [...candidates.keys()].filter((at) => candidates[at].barred === null),
    leftByLong = graph.leftMm2(long);
  const usable = [...candidates.keys()].filter(
    (at) => candidates[at].barred === null || graph.leftMm2([...long, at]) < leftByLong - leastGainMm2,
  );
  const fastestOf = (some: readonly number[], via?: number) =>
    fastestWays(known, graph, { usable: some, all: usable, via });
  const [best = START, second] = fastestOf(usable);
  const longer = ([way]: readonly Way[]): number | null => (way ? way.minutes - best.minutes : null);
  return {
    // Nothing to finish, or nothing that any cutter reaches: the smallest still stands for the passes.
    path: best.path.length > 0 ? best.path : [candidates.length - 1],
    second: second ? { path: second.path, extraMinutes: second.minutes - best.minutes } : null,
    usable,
    saves: (at) => longer(fastestOf(usable.filter((other) => other !== at))),
    extra: (at) => longer(fastestOf(usable, at)),
  };
}

function whyLeftOut(known: Known, { usable, extra }: Choice, at: number): LeftOut {
  const { candidates, totalMm2, alone, upTo, leastGainMm2, firstShare, byMinutes } = known;
  const { id, barred } = candidates[at];
  if (barred !== null && !usable.includes(at)) {
    return { id, reason: 'barred', detail: barred, extraMinutes: null };
  }
  const extraMinutes = extra(at);
  const before = usable.findLast((other) => other < at);
  const gainMm2 = (before === undefined ? totalMm2 : upTo[before]) - upTo[at];
  if (gainMm2 <= leastGainMm2) {
    const others =
      byMinutes && before !== undefined ? `${candidates[before].id} does` : 'the cutters before it do';
    const detail = before === undefined ? 'it reaches nothing' : `it reaches nothing that ${others} not`;
    return { id, reason: 'reaches-nothing-more', detail, extraMinutes };
  }
  if (extraMinutes === null) {
    const percent = (part: number): string => `${Math.floor(100 * part)} %`;
    const detail = `it reaches ${percent(1 - alone[at] / totalMm2)} of the machinable surface; the first cutter must reach ${percent(firstShare)}`;
    return { id, reason: 'below-first-share', detail, extraMinutes };
  }
  return { id, reason: 'slower', detail: 'the job takes longer with it', extraMinutes };
}

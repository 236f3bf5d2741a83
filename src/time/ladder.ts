import {
  fastestWays,
  isFirst,
  newAsked,
  START,
  statesOf,
  type Asked,
  wayAlong,
  type LadderOptions,
  type States,
  type Way,
} from './ladder-search.js';
import { areaOf, groundOf, leftAfter, leftMm2By, type Candidate, type Left } from './ladder-states.js';
import { whyLeftOut, type LeftOut, type Other } from './why-not.js';

export type { LeftOut, Other };

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
  /** the best sequence without it, which may leave more; null: none may begin */
  readonly without: Other | null;
}

/** The candidates, and what follows from what they leave. */
export type Known = ReturnType<typeof knownOf>;

export interface Choice {
  readonly best: Way;
  /** the next best; null: there is none, or nothing was compared */
  readonly second: Way | null;
  readonly states: States;
  /** the best sequence without a cutter of the chosen one, and with one that is not in it; null: there is none */
  readonly without: (at: number) => Way | null;
  readonly through: (at: number) => Way | null;
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
  const choice = options.byMinutes ? fastest(known, asked) : largestFirst(known, asked);
  const { path } = choice.best;
  return {
    /** indices of the candidates in order of use, at least one */
    path,
    /** the next best sequence, and what it takes longer; null: there is none, or nothing was compared */
    second: otherThan(choice, choice.second),
    /** what each of them does, and why the others are not among them: compared anew with and without each */
    told: () => ({
      steps: stepsOf(known, choice),
      leftOut: [...candidates.keys()]
        .filter((at) => !path.includes(at))
        .map(
          (at): LeftOut => ({
            ...whyLeftOut(known, choice, at),
            added: otherThan(choice, withAdded(known, choice, at)),
          }),
        ),
    }),
  };
}

const otherThan = ({ best, states }: Choice, way: Way | null): Other | null =>
  way && {
    path: way.path,
    extraMinutes: way.minutes - best.minutes,
    moreLeftMm2: Math.max(0, states.leftMm2(way.members) - states.leftMm2(best.members)),
  };

/** The chosen sequence and one cutter more. */
const withAdded = ({ byMinutes, usable }: Known, { best, states }: Choice, at: number): Way | null =>
  byMinutes && usable.includes(at)
    ? wayAlong(
        states,
        [...best.path, at].sort((a, b) => a - b),
      )
    : null;

function stepsOf(known: Known, choice: Choice): Step[] {
  const { totalMm2, minutes, byMinutes, leastGainMm2 } = known,
    { path } = choice.best;
  let before: Left | null = null,
    beforeMm2 = totalMm2;
  return path.map((at, i) => {
    const without = otherThan(choice, choice.without(at));
    const isAsFar = without !== null && without.moreLeftMm2 <= leastGainMm2;
    const left = leftAfter(known, before, at),
      leftAreaMm2 = areaOf(known, left);
    const step = {
      at,
      finishedAreaMm2: beforeMm2 - leftAreaMm2,
      left,
      leftAreaMm2,
      minutes: minutes(before, at, path.slice(0, i)),
      savesMinutes: byMinutes && isAsFar ? without.extraMinutes : null,
      without,
    };
    before = left;
    beforeMm2 = leftAreaMm2;
    return step;
  });
}

function knownOf(candidates: readonly Candidate[], options: LadderOptions) {
  const ground = groundOf(candidates, options.areas);
  const leftBy = (some: readonly number[]): number => leftMm2By(ground, some),
    all = [...candidates.keys()];
  const alone = all.map((at) => leftBy([at])),
    upTo = all.map((at) => leftBy(all.slice(0, at + 1)));
  // A barred cutter, too short, is used all the same if it reaches what none that is not barred does: a longer one of
  // its size is easier to get than a corner that stays unfinished.
  const long = all.filter((at) => candidates[at].barred === null),
    leftByLong = leftBy(long);
  const usable = all.filter(
    (at) =>
      !options.byMinutes ||
      candidates[at].barred === null ||
      leftBy([...long, at]) < leftByLong - options.leastGainMm2,
  );
  // Where none reaches the share of what all do, the one that reaches most must be allowed to begin.
  const mayLeaveOf = (some: readonly number[]): number => {
    const least = Math.min(...some.filter((at) => !candidates[at].isMill).map((at) => alone[at]));
    const leftMm2 = leftBy(some);
    return Math.max(least * (1 + 1e-9), leftMm2 + (1 - options.firstShare) * (ground.totalMm2 - leftMm2));
  };
  return {
    ...options,
    ...ground,
    /** what each leaves by itself, and what is left when all up to it have run, mm² */
    alone,
    upTo,
    /** candidates that may be used, and what they leave together, mm² */
    usable,
    leftByUsableMm2: leftBy(usable),
    /** the most that a first cutter leaves, where some are there, or all that are usable, mm² */
    mayLeaveOf,
    mayLeaveMm2: mayLeaveOf(usable),
  };
}

/** Mills that reach more, the largest cutter that may begin, then every smaller one that reaches more. */
function largestFirst(known: Known, asked: Asked): Choice {
  const states = statesOf(known, asked);
  return {
    best: wayAlong(states, largestFirstPath(known)) ?? START,
    second: null,
    states,
    without: (at) => wayAlong(states, largestFirstPath(known, at)),
    through: () => null,
  };
}

/** @param but candidate that is not asked */
function largestFirstPath(known: Known, but?: number): readonly number[] {
  const { candidates, totalMm2, mayLeaveMm2, leastGainMm2 } = known;
  const path: number[] = [];
  let left: Left | null = null,
    leftMm2 = totalMm2;
  for (const [at, own] of candidates.entries()) {
    if (at === but) continue;
    const after = leftAfter(known, left, at),
      afterMm2 = areaOf(known, after);
    const mayBegin = !own.isMill && isFirst(candidates, path) && afterMm2 <= mayLeaveMm2;
    const mayFollow = own.isMill || !isFirst(candidates, path);
    if (!(mayFollow ? leftMm2 - afterMm2 > leastGainMm2 : mayBegin)) continue;
    path.push(at);
    left = after;
    leftMm2 = afterMm2;
  }
  return path;
}

/** The fastest sequence that finishes all that any of the usable cutters can. */
function fastest(known: Known, asked: Asked): Choice {
  const { candidates, usable, leastGainMm2 } = known;
  const graph = statesOf(known, asked);
  const fastestOf = (some: readonly number[], via?: number) =>
    fastestWays(known, graph, { usable: some, all: usable, via });
  const [best = START, second = null] = fastestOf(usable);
  return {
    // Nothing to finish, or nothing that any cutter reaches: the smallest still stands for the passes.
    best: best.path.length > 0 ? best : { ...START, path: [candidates.length - 1] },
    second,
    states: graph,
    without: (at) => {
      const others = usable.filter((other) => other !== at);
      if (others.length === 0) return START;
      if (graph.leftMm2(others) - graph.leftMm2(usable) <= leastGainMm2) return fastestOf(others)[0] ?? null;
      // As if there were no others: what these leave is then all that may be left.
      const alone = { usable: others, all: others, mayLeaveMm2: known.mayLeaveOf(others) };
      return fastestWays(known, graph, alone)[0] ?? null;
    },
    through: (at) => fastestOf(usable, at)[0] ?? null,
  };
}

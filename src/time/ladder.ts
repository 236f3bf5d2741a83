import { compensatedSum, runningSum } from '../core/sum.js';

/** A cutter of any shape that may take part. */
export interface Candidate {
  readonly id: string;
  /** (F) share of each facet that it leaves, 0 .. 1 */
  readonly left: Float64Array;
  /** why it must not be used (too short, ...), or null */
  readonly barred: string | null;
}

export interface LadderOptions {
  /** (F) what is to be finished of each facet, mm² */
  readonly areas: Float64Array;
  /** the first cutter reaches this share of all that, or as much as any other */
  readonly firstShare: number;
  /** less is not worth a change, and areas that differ by no more count as equal, mm² */
  readonly leastGainMm2: number;
  readonly toolChangeMinutes: number;
  /** search for the fastest sequence; only where each candidate reaches all that those before it do */
  readonly byMinutes: boolean;
  /**
   * cutting that candidate `at` takes for what lies between two states of the part, each the share of every
   * facet that is left; before the first cutter: null
   */
  readonly minutes: (before: Float64Array | null, at: number, after: Float64Array) => number;
}

/** One cutter of the chosen sequence. */
export interface Step {
  /** index of the candidate */
  readonly at: number;
  /** reached by it and by none before it */
  readonly finishedAreaMm2: number;
  /** (F) share of each facet that it and those before it leave */
  readonly left: Float64Array;
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
 * @param candidates from the largest to the smallest, at least one
 * @throws {RangeError} for none, or shares that do not fit the areas
 */
export function chooseSteps(candidates: readonly Candidate[], options: LadderOptions) {
  const known = knownOf(candidates, options);
  const choice = options.byMinutes ? fastest(known) : largestFirst(known);
  let before: { readonly left: Float64Array | null; readonly areaMm2: number } = {
    left: null,
    areaMm2: known.totalMm2,
  };
  const steps = choice.path.map((at): Step => {
    const left = leastOf(before.left, candidates[at].left);
    const leftAreaMm2 = areaOf(options.areas, left);
    const step = {
      at,
      finishedAreaMm2: before.areaMm2 - leftAreaMm2,
      left,
      leftAreaMm2,
      minutes: options.minutes(before.left, at, left),
      savesMinutes: choice.saves(at),
    };
    before = { left, areaMm2: leftAreaMm2 };
    return step;
  });
  const others = [...candidates.keys()].filter((at) => !choice.path.includes(at));
  return {
    /** in order of use, at least one */
    steps,
    leftOut: others.map((at) => whyLeftOut(known, choice, at)),
  };
}

function knownOf(candidates: readonly Candidate[], options: LadderOptions) {
  const { areas, firstShare } = options;
  const wrong = candidates.find(({ left }) => left.length !== areas.length);
  if (wrong) throw new RangeError(`chooseSteps: ${wrong.left.length} shares, ${areas.length} areas`);
  if (candidates.length === 0) throw new RangeError('chooseSteps: no cutter');
  const totalMm2 = compensatedSum(areas);
  const alone = candidates.map(({ left }) => areaOf(areas, left));
  let all: Float64Array | null = null;
  const upTo = candidates.map(({ left }) => {
    all = leastOf(all, left);
    return areaOf(areas, all);
  });
  // Where no cutter reaches the share, the one that reaches most must be allowed to begin.
  const mayLeaveMm2 = Math.max(Math.min(...alone) * (1 + 1e-9), (1 - firstShare) * totalMm2);
  return {
    ...options,
    candidates,
    totalMm2,
    /** what each leaves by itself, and what is left when all up to it have run, mm² */
    alone,
    upTo,
    /** the most that a first cutter leaves, mm² */
    mayLeaveMm2,
  };
}

/** The largest cutter that may begin, then every smaller one that reaches what all before it leave. */
function largestFirst({ candidates, areas, alone, mayLeaveMm2, leastGainMm2 }: Known): Choice {
  const first = alone.findIndex((areaMm2) => areaMm2 <= mayLeaveMm2);
  const path = [first];
  let { left } = candidates[first];
  for (let at = first + 1; at < candidates.length; at++) {
    const after = leastOf(left, candidates[at].left);
    if (areaOf(areas, left) - areaOf(areas, after) <= leastGainMm2) continue;
    path.push(at);
    left = after;
  }
  return { path, usable: [...candidates.keys()], saves: () => null, extra: () => null };
}

/**
 * The fastest sequence that finishes all that any of the cutters can.
 *
 * A barred cutter, too short, is used all the same if it reaches what none that is not barred does: a longer
 * one of its size is easier to get than a corner that stays unfinished.
 */
function fastest(known: Known): Choice {
  const { candidates, totalMm2, upTo, leastGainMm2 } = known;
  const leastOfUsable = candidates.reduce(
    (least, { barred }, at) => (barred === null ? Math.min(least, upTo[at]) : least),
    totalMm2,
  );
  const usable = [...candidates.keys()].filter(
    (at) => candidates[at].barred === null || upTo[at] < leastOfUsable - leastGainMm2,
  );
  const minutesOf = minutesBetween(known);
  const fastestOf = (some: readonly number[], via?: number): Path =>
    shortestPath(known, minutesOf, some, Math.min(totalMm2, ...usable.map((at) => upTo[at])), via);
  const best = fastestOf(usable);
  const longer = ({ minutes }: Path): number | null => (minutes === Infinity ? null : minutes - best.minutes);
  return {
    // Nothing to finish, or nothing that any cutter reaches: the smallest still stands for the passes.
    path: best.path.length > 0 ? best.path : [candidates.length - 1],
    usable,
    saves: (at) => longer(fastestOf(usable.filter((other) => other !== at))),
    extra: (at) => longer(fastestOf(usable, at)),
  };
}

/** Minutes of any candidate after any other (-1: as the first), its change included, each asked once. */
function minutesBetween({ candidates, alone, mayLeaveMm2, toolChangeMinutes, minutes }: Known) {
  const found = new Map<number, number>();
  return (before: number, at: number): number => {
    if (before < 0 && alone[at] > mayLeaveMm2) return Infinity;
    const key = (before + 1) * candidates.length + at;
    const own =
      found.get(key) ??
      toolChangeMinutes + minutes(before < 0 ? null : candidates[before].left, at, candidates[at].left);
    found.set(key, own);
    return own;
  };
}

interface Path {
  readonly path: readonly number[];
  readonly minutes: number;
}

/**
 * Fastest way that ends with no more than `leastMm2` left, through `via` if given: shortest path over a
 * directed graph without cycles, in which each cutter follows any larger one. O(m²).
 *
 * Source: Yao, Gupta & Nau, CAD 35:825-839, 2003 (end mills there, balls here; node layout from memory).
 */
function shortestPath(
  { upTo, totalMm2, leastGainMm2 }: Known,
  minutesOf: (before: number, at: number) => number,
  usable: readonly number[],
  leastMm2: number,
  via?: number,
): Path {
  const none: Path = { path: [], minutes: Infinity };
  const lastOf = ({ path }: Path): number => path[path.length - 1] ?? -1;
  let ways: Path[] = [{ path: [], minutes: 0 }];
  for (const at of usable) {
    const best = ways.reduce((known, way) => {
      const minutes = way.minutes + minutesOf(lastOf(way), at);
      return fasterOf(known, { path: [...way.path, at], minutes });
    }, none);
    // Past `via`, only ways that came through it count.
    ways = at === via ? [best] : [...ways, best];
  }
  const leftBy = (at: number): number => (at < 0 ? totalMm2 : upTo[at]);
  return ways.filter((way) => leftBy(lastOf(way)) - leastMm2 <= leastGainMm2).reduce(fasterOf, none);
}

/** Of equals the one with fewer cutters, then the first; rounding must not tell them apart. */
function fasterOf(best: Path, other: Path): Path {
  if (best.minutes === Infinity) return other.minutes < Infinity ? other : best;
  const margin = 1e-9 * Math.max(1, other.minutes);
  if (Math.abs(other.minutes - best.minutes) >= margin) return other.minutes < best.minutes ? other : best;
  return other.path.length < best.path.length ? other : best;
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

/** What two states of the part leave between them. */
function leastOf(before: Float64Array | null, own: Float64Array): Float64Array {
  return before === null ? own : own.map((share, f) => Math.min(share, before[f]));
}

function areaOf(areas: Float64Array, left: Float64Array): number {
  const sum = runningSum();
  for (let f = 0; f < areas.length; f++) if (left[f] > 0) sum.add(left[f] * areas[f]);
  return sum.value();
}

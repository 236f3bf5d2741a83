import { compensatedSum, runningSum } from '../core/sum.js';

/** A cutter of any shape that may take part. */
export interface Candidate {
  readonly id: string;
  /** (F) share of each facet that it leaves, 0 .. 1 */
  readonly left: Float64Array;
  /** why it must not be used (too short, ...), or null */
  readonly barred: string | null;
  /** it finishes floors and walls alone, before the first of those that finish the rest */
  readonly isMill?: boolean;
}

export interface LadderOptions {
  /** (F) what is to be finished of each facet, mm² */
  readonly areas: Float64Array;
  /** the first cutter and mills before it reach this share of all that, or it as much as any other */
  readonly firstShare: number;
  /** less is not worth a change, and areas that differ by no more count as equal, mm² */
  readonly leastGainMm2: number;
  readonly toolChangeMinutes: number;
  /** search for the fastest sequence */
  readonly byMinutes: boolean;
  /**
   * cutting that candidate `at` takes for what lies between two states of the part, each the share of every
   * facet that is left; before the first cutter: null
   *
   * @param isFirst no cutter has run before but mills
   */
  readonly minutes: (
    before: Float64Array | null,
    at: number,
    after: Float64Array,
    isFirst: boolean,
  ) => number;
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
export function chooseSteps(candidates: readonly Candidate[], options: LadderOptions) {
  const known = knownOf(candidates, options);
  const choice = options.byMinutes ? fastest(known) : largestFirst(known);
  let before: { readonly left: Float64Array | null; readonly areaMm2: number } = {
    left: null,
    areaMm2: known.totalMm2,
  };
  const steps = choice.path.map((at, i): Step => {
    const left = leastOf(before.left, candidates[at].left);
    const leftAreaMm2 = areaOf(options.areas, [left]);
    const step = {
      at,
      finishedAreaMm2: before.areaMm2 - leftAreaMm2,
      left,
      leftAreaMm2,
      minutes: options.minutes(before.left, at, left, isFirst(candidates, choice.path.slice(0, i))),
      savesMinutes: choice.saves(at),
    };
    before = { left, areaMm2: leftAreaMm2 };
    return step;
  });
  const others = [...candidates.keys()].filter((at) => !choice.path.includes(at));
  return {
    /** in order of use, at least one */
    steps,
    second: choice.second,
    leftOut: others.map((at) => whyLeftOut(known, choice, at)),
  };
}

function knownOf(candidates: readonly Candidate[], options: LadderOptions) {
  const { areas, firstShare } = options;
  const wrong = candidates.find(({ left }) => left.length !== areas.length);
  if (wrong) throw new RangeError(`chooseSteps: ${wrong.left.length} shares, ${areas.length} areas`);
  if (candidates.length === 0) throw new RangeError('chooseSteps: no cutter');
  const totalMm2 = compensatedSum(areas);
  const alone = candidates.map(({ left }) => areaOf(areas, [left]));
  let all: Float64Array | null = null;
  const upTo = candidates.map(({ left }) => {
    all = leastOf(all, left);
    return areaOf(areas, [all]);
  });
  // Where no cutter reaches the share, the one that reaches most must be allowed to begin.
  const least = Math.min(...alone.filter((_, at) => !candidates[at].isMill));
  const mayLeaveMm2 = Math.max(least * (1 + 1e-9), (1 - firstShare) * totalMm2);
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

/** Whether none but mills has run. */
const isFirst = (candidates: readonly Candidate[], path: readonly number[]): boolean =>
  path.every((at) => candidates[at].isMill);

/** Mills that reach more, the largest cutter that may begin, then every smaller one that reaches more. */
function largestFirst({ candidates, areas, totalMm2, mayLeaveMm2, leastGainMm2 }: Known): Choice {
  const path: number[] = [];
  let left: Float64Array | null = null,
    leftMm2 = totalMm2;
  for (const [at, own] of candidates.entries()) {
    const after = leastOf(left, own.left),
      afterMm2 = areaOf(areas, [after]);
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
function fastest(known: Known): Choice {
  const { candidates, leastGainMm2 } = known;
  const graph = statesOf(known);
  const long = [...candidates.keys()].filter((at) => candidates[at].barred === null),
    leftByLong = graph.leftMm2(long);
  const usable = [...candidates.keys()].filter(
    (at) => candidates[at].barred === null || graph.leftMm2([...long, at]) < leftByLong - leastGainMm2,
  );
  const leastMm2 = graph.leftMm2(usable);
  const fastestOf = (some: readonly number[], via?: number) => fastestWays(known, graph, some, leastMm2, via);
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

/** A sequence, and the state of the part after it: of its cutters those that reach what no other of them does. */
interface Way {
  readonly path: readonly number[];
  readonly members: readonly number[];
  readonly minutes: number;
}
const START: Way = { path: [], members: [], minutes: 0 };

/** States of the part, each by the cutters that make it, and what leads from one to the next, asked once. */
function statesOf(known: Known) {
  const { candidates, areas, totalMm2, mayLeaveMm2, toolChangeMinutes, minutes } = known;
  let last: { readonly key: string; readonly left: Float64Array | null } = { key: '', left: null };
  // Asked for by minutes alone, of one state after the other: what they find of it can be kept by its array.
  const leftBy = (members: readonly number[]): Float64Array | null => {
    const key = members.join();
    if (last.key !== key) {
      const left = members.reduce<Float64Array | null>((all, at) => leastOf(all, candidates[at].left), null);
      last = { key, left };
    }
    return last.left;
  };
  const leftMm2 = remembered((_key: string, members: readonly number[]) =>
    members.length === 0
      ? totalMm2
      : areaOf(
          areas,
          members.map((at) => candidates[at].left),
        ),
  );
  const covers = remembered((_key: string, [at, other]: readonly number[]) =>
    candidates[at].left.every((share, f) => share <= candidates[other].left[f]),
  );
  const pass = remembered((_key: string, [at, ...before]: readonly number[]) => {
    const left = leftBy(before),
      own = candidates[at].left;
    const after = before.every((other) => covers([at, other])) ? own : leastOf(left, own);
    return toolChangeMinutes + minutes(left, at, after, isFirst(candidates, before));
  });
  return {
    leftMm2,
    /** the members of a state and a further cutter */
    after: (members: readonly number[], at: number): readonly number[] =>
      members.some((other) => covers([other, at]))
        ? members
        : [...members.filter((other) => !covers([at, other])), at],
    /** minutes of a cutter after a state, its change included; Infinity: it may not begin */
    minutes: (members: readonly number[], at: number): number => {
      const begins = !candidates[at].isMill && isFirst(candidates, members);
      return begins && leftMm2([...members, at]) > mayLeaveMm2 ? Infinity : pass([at, ...members]);
    },
  };
}
type States = ReturnType<typeof statesOf>;

/** Works a thing out once for each list of numbers. */
function remembered<T>(make: (key: string, list: readonly number[]) => T): (list: readonly number[]) => T {
  const known = new Map<string, T>();
  return (list) => {
    const key = list.join();
    const found = known.get(key) ?? make(key, list);
    known.set(key, found);
    return found;
  };
}

/**
 * The two fastest ways that end with no more than `leastMm2` left, through `via` if given: shortest paths over a
 * directed graph without cycles, whose nodes are states of the part and in which each cutter follows any before it.
 * Where each reaches all that larger ones do, a state is the last cutter and there are as many as cutters.
 *
 * Source: Yao, Gupta & Nau, CAD 35:825-839, 2003 (end mills there; node layout from memory). Their nodes are single
 * cutters, which nested reach allows; of other cutters a state is what several leave together.
 */
function fastestWays(
  { leastGainMm2 }: Known,
  states: States,
  usable: readonly number[],
  leastMm2: number,
  via?: number,
): readonly Way[] {
  const reached = new Map<number, Map<string, Way[]>>([[-1, new Map([['', [START]]])]]);
  let ends: Way[] = [];
  for (const last of [-1, ...usable]) {
    const passed = via === undefined || last >= via;
    for (const ways of reached.get(last)?.values() ?? []) {
      const { members } = ways[0],
        leftMm2 = states.leftMm2(members);
      if (passed && leftMm2 - leastMm2 <= leastGainMm2) ends = twoFastest(ends, ways);
      for (const at of usable) {
        if (at <= last || (!passed && at > (via ?? at))) continue;
        const after = states.after(members, at);
        if (at !== via && leftMm2 - states.leftMm2(after) <= leastGainMm2) continue;
        const own = states.minutes(members, at);
        if (own === Infinity) continue;
        const further = ways.map(({ path, minutes }) => ({
          path: [...path, at],
          members: after,
          minutes: minutes + own,
        }));
        const nodes = reached.get(at) ?? new Map<string, Way[]>();
        reached.set(at, nodes.set(after.join(), twoFastest(nodes.get(after.join()) ?? [], further)));
      }
    }
  }
  return ends;
}

/** Of equals the one with fewer cutters, then the first; rounding must not tell them apart. */
function twoFastest(known: readonly Way[], more: readonly Way[]): Way[] {
  return [...known, ...more]
    .sort((a, b) => {
      const off = a.minutes - b.minutes;
      return Math.abs(off) < 1e-9 * Math.max(1, a.minutes) ? a.path.length - b.path.length : off;
    })
    .slice(0, 2);
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
  if (before === null) return own;
  const least = before.slice();
  for (let f = 0; f < least.length; f++) if (own[f] < least[f]) least[f] = own[f];
  return least;
}

/** What some leave together, mm². */
function areaOf(areas: Float64Array, [first, ...more]: readonly Float64Array[]): number {
  const sum = runningSum();
  for (let f = 0; f < areas.length; f++) {
    let least = first[f];
    for (let i = 0; i < more.length && least > 0; i++) if (more[i][f] < least) least = more[i][f];
    if (least > 0) sum.add(least * areas[f]);
  }
  return sum.value();
}

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
   * cutting that candidate `at` takes for what it reaches of what is left; before the first cutter: null
   *
   * @param isFirst no cutter has run before but mills
   */
  readonly minutes: (before: Left | null, at: number, isFirst: boolean) => number;
  /** (F) least minutes per mm² in which candidate `at` cuts what others have left, where none but mills have run too */
  readonly leastRate?: (at: number) => Float64Array;
}

/** A state of the part. */
export interface Left {
  /** (F) share of each facet that is left */
  readonly share: Float64Array;
  /** facets of which more is left than all candidates leave together, in order */
  readonly faces: Uint32Array;
}

/** Minutes of cutters that were asked about, kept from one choice to the next of which some candidates are the same. */
export type Asked = ReturnType<typeof newAsked>;

export function newAsked() {
  const minutes = new Map<string, number>(),
    numbers = new Map<Float64Array, number>();
  const numberOf = ({ left }: Candidate): number => {
    const known = numbers.get(left) ?? numbers.size;
    numbers.set(left, known);
    return known;
  };
  return {
    /** of a cutter after others */
    minutes: (own: Candidate, before: readonly Candidate[], ask: () => number): number => {
      const key = [own, ...before].map(numberOf).join();
      const known = minutes.get(key) ?? ask();
      minutes.set(key, known);
      return known;
    },
  };
}

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

function groundOf(candidates: readonly Candidate[], areas: Float64Array) {
  const wrong = candidates.find(({ left }) => left.length !== areas.length);
  if (wrong) throw new RangeError(`chooseSteps: ${wrong.left.length} shares, ${areas.length} areas`);
  if (candidates.length === 0) throw new RangeError('chooseSteps: no cutter');
  const leftByAll = new Float64Array(areas.length).fill(1);
  for (const { left } of candidates)
    for (let f = 0; f < left.length; f++) leftByAll[f] = Math.min(leftByAll[f], left[f]);
  return {
    candidates,
    areas,
    totalMm2: compensatedSum(areas),
    /** (F) share that no candidate reaches, and that, mm² */
    leftByAll,
    leftByAllMm2: compensatedSum(leftByAll.map((share, f) => share * areas[f])),
    /** of each candidate the facets of which it leaves more */
    facesOf: candidates.map(({ left }) => facesWhere(areas, (f) => left[f] > leftByAll[f])),
  };
}
type Ground = ReturnType<typeof groundOf>;

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

/** Facets that have an area and fulfil a condition. */
function facesWhere(areas: Float64Array, is: (f: number) => boolean): Uint32Array {
  const faces = new Uint32Array(areas.length);
  let count = 0;
  for (let f = 0; f < areas.length; f++) if (areas[f] > 0 && is(f)) faces[count++] = f;
  return faces.slice(0, count);
}

/** Whether none but mills has run. */
const isFirst = (candidates: readonly Candidate[], path: readonly number[]): boolean =>
  path.every((at) => candidates[at].isMill);

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

/** A sequence, and the state of the part after it: of its cutters those that reach what no other of them does. */
interface Way {
  readonly path: readonly number[];
  readonly members: readonly number[];
  readonly minutes: number;
  /** with what must follow it at least */
  readonly leastMinutes: number;
}
const START: Way = { path: [], members: [], minutes: 0, leastMinutes: 0 };

/** States of the part, each by the cutters that make it, and what leads from one to the next, asked once. */
function statesOf(known: Known, asked: Asked) {
  const { candidates, leftByAll, facesOf, totalMm2, mayLeaveMm2, toolChangeMinutes, minutes } = known;
  const leftMm2 = (members: readonly number[]): number =>
    members.length === 0 ? totalMm2 : measured(members).leftMm2;
  // Asked for of one state after the other, so that they share one array, and what is found of one can be kept by it.
  const share = leftByAll.slice();
  let last: { readonly key: string; readonly left: Left } = {
    key: '',
    left: { share, faces: new Uint32Array() },
  };
  const leftBy = (members: readonly number[]): Left | null => {
    if (members.length === 0) return null;
    const key = members.join();
    if (last.key !== key) {
      for (const f of last.left.faces) share[f] = leftByAll[f];
      const faces = fewestFaces(known, members).filter((f) => {
        share[f] = leastAt(known, members, f);
        return share[f] > leftByAll[f];
      });
      last = { key, left: { share, faces } };
    }
    return last.left;
  };
  const measured = remembered(measuring(known));
  const covers = remembered(([at, other]) =>
    facesOf[at].every((f) => candidates[at].left[f] <= candidates[other].left[f]),
  );
  const pass = ([at, ...before]: readonly number[]): number =>
    asked.minutes(
      candidates[at],
      before.map((other) => candidates[other]),
      () => toolChangeMinutes + minutes(leftBy(before), at, isFirst(candidates, before)),
    );
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
    /** what must follow a state at least, minutes */
    toFollow: (members: readonly number[]): number =>
      isFirst(candidates, members) ? 0 : measured(members).minutes,
  };
}
type States = ReturnType<typeof statesOf>;

/**
 * What some cutters leave together, at least one, and minutes that it takes at least: each facet at the rate of the
 * fastest cutter that reaches more of it.
 */
function measuring(known: Known) {
  const { candidates, areas, leftByAll, leftByAllMm2, leastRate, leastGainMm2 } = known;
  const perShare = new Float64Array(areas.length).fill(Infinity);
  let dearest = 0;
  for (const [at, { isMill, left }] of candidates.entries()) {
    const rate = leastRate?.(at);
    for (let f = 0; f < left.length; f++) {
      if (isMill || left[f] === 1 || !(areas[f] > 0)) continue;
      perShare[f] = Math.min(perShare[f], areas[f] * (rate?.[f] ?? 0));
      dearest = Math.max(dearest, rate?.[f] ?? 0);
    }
  }
  return (members: readonly number[]) => {
    const mm2 = runningSum(),
      minutes = runningSum();
    for (const f of fewestFaces(known, members)) {
      const more = leastAt(known, members, f) - leftByAll[f];
      mm2.add(more * areas[f]);
      // What mills alone reach nothing follows.
      if (perShare[f] < Infinity) minutes.add(more * perShare[f]);
    }
    return {
      leftMm2: leftByAllMm2 + mm2.value(),
      // So much may stay that nothing needs to follow.
      minutes: Math.max(0, minutes.value() - leastGainMm2 * dearest),
    };
  };
}

/** Works a thing out once for each list of numbers. */
function remembered<T>(make: (list: readonly number[]) => T): (list: readonly number[]) => T {
  const known = new Map<string, T>();
  return (list) => {
    const key = list.join();
    const found = known.get(key) ?? make(list);
    known.set(key, found);
    return found;
  };
}

interface Searched {
  /** in order of use */
  readonly usable: readonly number[];
  /** what these leave together need not be reached */
  readonly all: readonly number[];
  /** it must be among them */
  readonly via?: number | undefined;
}

/**
 * The two fastest ways that leave no more than all do together: shortest paths over a directed graph without cycles,
 * whose nodes are states of the part and in which each cutter follows any before it. Where each reaches all that larger
 * ones do, a state is the last cutter and there are as many as cutters. Those that promise most are followed first, and
 * none that even at the least that must follow is slower than both.
 *
 * Source: Yao, Gupta & Nau, CAD 35:825-839, 2003 (end mills there; node layout from memory). Their nodes are single
 * cutters, which nested reach allows; of other cutters a state is what several leave together. Hart, Nilsson & Raphael,
 * IEEE Trans. SSC 4:100-107, 1968 (order by what is known and the least that must follow; from memory).
 */
function fastestWays(
  { leastGainMm2, toolChangeMinutes }: Known,
  states: States,
  { usable, all, via }: Searched,
): readonly Way[] {
  const leastMm2 = states.leftMm2(all);
  const nodes = new Map<string, Way[]>(),
    open: Way[] = [START];
  let ends: Way[] = [];
  for (let way = open.pop(); way; way = open.pop()) {
    if (ends.length === 2 && way.leastMinutes > ends[1].minutes + sameMinutes(ends[1])) break;
    const { path, members, minutes } = way,
      last = path.at(-1) ?? -1;
    if (path.length > 0 && !nodes.get(nodeOf(way))?.includes(way)) continue;
    const passed = via === undefined || last >= via,
      leftMm2 = states.leftMm2(members);
    if (passed && leftMm2 - leastMm2 <= leastGainMm2) ends = twoFastest([...ends, way]);
    for (const at of usable) {
      if (at <= last || (!passed && at > (via ?? at))) continue;
      const after = states.after(members, at);
      const afterMm2 = states.leftMm2(after);
      if (at !== via && leftMm2 - afterMm2 <= leastGainMm2) continue;
      const own = states.minutes(members, at);
      if (own === Infinity) continue;
      const isEnd = afterMm2 - leastMm2 <= leastGainMm2 && (via === undefined || at >= via);
      const soFar = minutes + own;
      const leastMinutes = soFar + (isEnd ? 0 : toolChangeMinutes + states.toFollow(after));
      const further: Way = { path: [...path, at], members: after, minutes: soFar, leastMinutes };
      const known = twoFastest([...(nodes.get(nodeOf(further)) ?? []), further]);
      nodes.set(nodeOf(further), known);
      if (known.includes(further)) insert(open, further);
    }
  }
  return ends;
}

const nodeOf = ({ path, members }: Way): string => `${path.at(-1)}:${members.join()}`;

/** Puts one in among others, of which the last promises most. */
function insert(open: Way[], way: Way): void {
  let low = 0,
    high = open.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (open[middle].leastMinutes > way.leastMinutes) low = middle + 1;
    else high = middle;
  }
  open.splice(low, 0, way);
}

/** Rounding must not tell ways apart that differ by no more, minutes. */
const sameMinutes = ({ minutes }: Way): number => 1e-9 * Math.max(1, minutes);

/** Of equals the one with fewer cutters, then the one with larger cutters. */
function twoFastest(ways: readonly Way[]): Way[] {
  return [...ways]
    .sort((a, b) => {
      const off = a.minutes - b.minutes;
      if (Math.abs(off) >= sameMinutes(a)) return off;
      const other = a.path.findIndex((at, i) => at !== b.path[i]);
      return a.path.length - b.path.length || (other < 0 ? 0 : a.path[other] - b.path[other]);
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

/** Of the facets that each of some candidates leaves more of than all do, those of the one that has fewest. */
const fewestFaces = ({ facesOf }: Ground, some: readonly number[]): Uint32Array =>
  some.map((at) => facesOf[at]).reduce((a, b) => (b.length < a.length ? b : a));

/** Share of a facet that some candidates leave together. */
function leastAt({ candidates }: Ground, some: readonly number[], f: number): number {
  let least = 1;
  for (const at of some) least = Math.min(least, candidates[at].left[f]);
  return least;
}

/** What a candidate leaves of what was left before it. */
function leftAfter({ candidates, leftByAll, facesOf }: Ground, before: Left | null, at: number): Left {
  const share = leftByAll.slice(),
    own = candidates[at].left;
  if (!before) {
    for (const f of facesOf[at]) share[f] = own[f];
    return { share, faces: facesOf[at] };
  }
  for (const f of before.faces) share[f] = Math.min(before.share[f], own[f]);
  return { share, faces: before.faces.filter((f) => share[f] > leftByAll[f]) };
}

/** mm² */
function areaOf({ areas, leftByAll, leftByAllMm2 }: Ground, { share, faces }: Left): number {
  const sum = runningSum();
  for (const f of faces) sum.add((share[f] - leftByAll[f]) * areas[f]);
  return leftByAllMm2 + sum.value();
}

import { keptOf } from '../core/kept-of.js';
import { runningSum } from '../core/sum.js';
import { eachLeft, fewestFaces, leastOf, type Candidate, type Ground, type Left } from './ladder-states.js';

export interface LadderOptions {
  /** (F) what is to be finished of each facet, mm² */
  readonly areas: Float64Array;
  /** the first cutter and mills before it reach this share of what all reach, or it as much as any other */
  readonly firstShare: number;
  /** less is not worth a change, and areas that differ by no more count as equal, mm² */
  readonly leastGainMm2: number;
  readonly toolChangeMinutes: number;
  /** a further cutter must make the job shorter by as much, its change counted */
  readonly leastGainMinutes: number;
  /** search for the fastest sequence */
  readonly byMinutes: boolean;
  /**
   * cutting that candidate `at` takes for what it reaches of what is left; before the first cutter: null
   *
   * @param earlier candidates that have run before; those that reach nothing more than others of them may be left out
   */
  readonly minutes: (before: Left | null, at: number, earlier: readonly number[]) => number;
  /** (F) least minutes per mm² in which candidate `at` cuts what others have left, where none but mills have run too */
  readonly leastRate?: (at: number) => Float64Array;
}

/** The candidates, what follows from what they leave, and what is asked of the search. */
export interface Searchable extends Ground, Omit<LadderOptions, 'areas'> {
  /** the most that a first cutter leaves, mm² */
  readonly mayLeaveMm2: number;
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

/** Whether none but mills has run. */
export const isFirst = (candidates: readonly Candidate[], path: readonly number[]): boolean =>
  path.every((at) => candidates[at].isMill);

/** A sequence, and the state of the part after it: of its cutters those that reach what no other of them does. */
export interface Way {
  readonly path: readonly number[];
  readonly members: readonly number[];
  readonly minutes: number;
  /** those, and what each of its cutters must save: what ways are compared by */
  readonly cost: number;
  /** with what must follow it at least */
  readonly leastCost: number;
}
export const START: Way = { path: [], members: [], minutes: 0, cost: 0, leastCost: 0 };

/** A sequence that is given; null: it may not begin so. */
export function wayAlong(states: States, path: readonly number[]): Way | null {
  let way = START;
  for (const at of path) {
    const own = states.minutes(way.members, at);
    if (own === Infinity) return null;
    const cost = way.cost + own + states.leastGainMinutes;
    way = {
      path: [...way.path, at],
      members: states.after(way.members, at),
      minutes: way.minutes + own,
      cost,
      leastCost: cost,
    };
  }
  return way;
}

/** States of the part, each by the cutters that make it, and what leads from one to the next, asked once. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share what is remembered.
export function statesOf(known: Searchable, asked: Asked) {
  const {
    candidates,
    leftByAll,
    facesOf,
    totalMm2,
    leastGainMm2,
    leastGainMinutes,
    toolChangeMinutes,
    minutes,
  } = known;
  const leftMm2 = (members: readonly number[]): number =>
    members.length === 0 ? totalMm2 : measured(members).leftMm2;
  // Asked for of one state after the other, so that they share one array, and what is found of one can be kept by it.
  const share = leftByAll.slice(),
    larger = leftByAll.slice();
  let last: { readonly key: string; readonly left: Left } = {
    key: '',
    left: { share, larger, faces: new Uint32Array() },
  };
  const leftBy = (members: readonly number[]): Left | null => {
    if (members.length === 0) return null;
    const key = members.join();
    if (last.key !== key) {
      for (const f of last.left.faces) share[f] = larger[f] = leftByAll[f];
      const lefts = members.map((at) => candidates[at].left),
        largers = members.map((at) => candidates[at].larger);
      const faces = keptOf(fewestFaces(known, members), (f) => {
        share[f] = leastOf(lefts, f);
        larger[f] = leastOf(largers, f);
        return larger[f] > leftByAll[f];
      });
      last = { key, left: { share, larger, faces } };
    }
    return last.left;
  };
  const { perShare, dearest } = leastPerShare(known);
  const measured = remembered(measuring(known, perShare));
  const covers = remembered(([at, other]) =>
    facesOf[at].every(
      (f) =>
        candidates[at].left[f] <= candidates[other].left[f] &&
        candidates[at].larger[f] <= candidates[other].larger[f],
    ),
  );
  const pass = ([at, ...before]: readonly number[]): number =>
    asked.minutes(
      candidates[at],
      before.map((other) => candidates[other]),
      () => toolChangeMinutes + minutes(leftBy(before), at, before),
    );
  return {
    leastGainMinutes,
    leftMm2,
    /** the members of a state and a further cutter */
    after: (members: readonly number[], at: number): readonly number[] =>
      members.some((other) => covers([other, at]))
        ? members
        : [...members.filter((other) => !covers([at, other])), at],
    /** minutes of a cutter after a state, its change included; Infinity: it may not begin */
    minutes: (members: readonly number[], at: number, mayLeaveMm2 = known.mayLeaveMm2): number => {
      const begins = !candidates[at].isMill && isFirst(candidates, members);
      return begins && leftMm2([...members, at]) > mayLeaveMm2 ? Infinity : pass([at, ...members]);
    },
    /** what must follow a state at least, minutes. @param all what these leave together need not be reached */
    toFollow: (members: readonly number[], all: readonly number[]): number =>
      // So much may stay that nothing needs to follow.
      isFirst(candidates, members)
        ? 0
        : Math.max(0, measured(members).minutes - measured(all).minutes - leastGainMm2 * dearest),
  };
}
export type States = ReturnType<typeof statesOf>;

/** (F) The least minutes in which any cutter that reaches more of a facet cuts all of it, and the most per mm². */
function leastPerShare({ candidates, areas, leastRate }: Searchable) {
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
  // What mills alone reach nothing follows.
  return { perShare: perShare.map((minutes) => (minutes < Infinity ? minutes : 0)), dearest };
}

/**
 * What some cutters leave together, at least one, mm², and minutes that what they leave beyond what all do takes at
 * least.
 */
function measuring(known: Searchable, perShare: Float64Array) {
  const { areas, leftByAllMm2 } = known;
  return (members: readonly number[]) => {
    const mm2 = runningSum(),
      minutes = runningSum();
    eachLeft(known, members, (f, more) => {
      mm2.add(more * areas[f]);
      minutes.add(more * perShare[f]);
    });
    return { leftMm2: leftByAllMm2 + mm2.value(), minutes: minutes.value() };
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
  /** the most that a first cutter leaves, mm²; left out: as where all candidates are usable */
  readonly mayLeaveMm2?: number | undefined;
  /** it must be among them */
  readonly via?: number | undefined;
}

/**
 * The two best ways that leave no more than all do together: shortest paths over a directed graph without cycles,
 * whose nodes are states of the part and in which each cutter follows any before it. Where each reaches all that larger
 * ones do, a state is the last cutter and there are as many as cutters. Those that promise most are followed first, and
 * none that even at the least that must follow is slower than both.
 *
 * Source: Yao, Gupta & Nau, CAD 35:825-839, 2003 (end mills there; node layout from memory). Their nodes are single
 * cutters, which nested reach allows; of other cutters a state is what several leave together. Hart, Nilsson & Raphael,
 * IEEE Trans. SSC 4:100-107, 1968 (order by what is known and the least that must follow; from memory).
 */
export function fastestWays(
  { leastGainMm2, leastGainMinutes, toolChangeMinutes }: Searchable,
  states: States,
  { usable, all, mayLeaveMm2, via }: Searched,
): readonly Way[] {
  const leastMm2 = states.leftMm2(all);
  const nodes = new Map<string, Way[]>(),
    open: Way[] = [START];
  let ends: Way[] = [];
  for (let way = open.pop(); way; way = open.pop()) {
    if (ends.length === 2 && way.leastCost > ends[1].cost + sameCost(ends[1])) break;
    const { path, members, minutes, cost } = way,
      last = path.at(-1) ?? -1;
    if (path.length > 0 && !nodes.get(nodeOf(way))?.includes(way)) continue;
    const passed = via === undefined || last >= via,
      leftMm2 = states.leftMm2(members);
    if (passed && leftMm2 - leastMm2 <= leastGainMm2) ends = twoBest([...ends, way]);
    for (const at of usable) {
      if (at <= last || (!passed && at > (via ?? at))) continue;
      const after = states.after(members, at);
      const afterMm2 = states.leftMm2(after);
      if (at !== via && leftMm2 - afterMm2 <= leastGainMm2) continue;
      const own = states.minutes(members, at, mayLeaveMm2);
      if (own === Infinity) continue;
      const isEnd = afterMm2 - leastMm2 <= leastGainMm2 && (via === undefined || at >= via);
      const soFar = cost + own + leastGainMinutes;
      const further: Way = {
        path: [...path, at],
        members: after,
        minutes: minutes + own,
        cost: soFar,
        leastCost: soFar + (isEnd ? 0 : toolChangeMinutes + leastGainMinutes + states.toFollow(after, all)),
      };
      const known = twoBest([...(nodes.get(nodeOf(further)) ?? []), further]);
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
    if (open[middle].leastCost > way.leastCost) low = middle + 1;
    else high = middle;
  }
  open.splice(low, 0, way);
}

/** Rounding must not tell ways apart that differ by no more, minutes. */
const sameCost = ({ cost }: Way): number => 1e-9 * Math.max(1, cost);

/** Of equals the one with fewer cutters, then the one with larger cutters. */
function twoBest(ways: readonly Way[]): Way[] {
  return [...ways]
    .sort((a, b) => {
      const off = a.cost - b.cost;
      if (Math.abs(off) >= sameCost(a)) return off;
      const other = a.path.findIndex((at, i) => at !== b.path[i]);
      return a.path.length - b.path.length || (other < 0 ? 0 : a.path[other] - b.path[other]);
    })
    .slice(0, 2);
}

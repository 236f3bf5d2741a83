import type { Cutter } from '../cutter/catalogue.js';
import type { Surface } from '../part/types.js';
import type { Setup } from '../resolve-setup.js';
import { crumbLimits } from '../outlines/drop-crumbs.js';
import { keptOf } from '../core/kept-of.js';
import { compensatedSum, runningSum } from '../core/sum.js';
import type { FinishingSurface } from '../time/finishing-surface.js';
import type { CutRegions } from '../time/pass-pieces.js';
import { facetMinutes, followingOverhead, passTimes, type PassPlan } from '../time/pass-time.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { reachedSurface } from './finishing-passes.js';
import { closestSteps, groundPlans, PASSES, type PassGrounds } from './pass-grounds.js';
import { bothPasses, finishingFeed, type PassLayout } from './pass-layout.js';
import { patchesDone, type FloorsAndWalls } from './floors-and-walls.js';
import { leastGain, machinableAreas, type Candidate } from './ladder-candidates.js';
import { millTimes, type MillTimes } from './mill-times.js';
import type { Mill } from './mill-reach.js';
import { connectedAmong } from '../surface/connected-regions.js';
import type { Left } from '../time/ladder-states.js';

/**
 * Minutes of cutting, without the change of cutter, the shop's own factor included. Mills run over floors and walls.
 * The first of the other cutters runs its passes over what it reaches of the rest, a later one follows the
 * surface over what was left before and is not after, and the blend round it; so does the first where mills have been.
 */
export interface LadderTimes {
  /**
   * @param before what is left; null: all
   * @param earlier those that left it
   */
  minutes(before: Left | null, own: Timed, earlier: readonly Timed[]): number;
  /** (F) least minutes of each facet per mm² in which a cutter that is no mill follows those before it */
  leastRate(cutter: Cutter): Float64Array;
  readonly mill: MillTimes;
}

/** A cutter, and the share of each facet that it leaves. */
export type Timed = Pick<Candidate, 'cutter' | 'share'>;

/**
 * Times for any two cutters of a ladder.
 *
 * Rest passes are laid as close as the closer of the cutter's finishing steps there: the even spacing that
 * would allow more is not held in corners, and rest material must not look faster than the same ground in a
 * finishing pass.
 *
 * @param finishing of the surface on which reach was computed
 */
export function ladderTimes(
  reach: ReachAnalysis,
  finishing: FinishingSurface,
  setup: Setup,
  layout: PassLayout,
  on: FloorsAndWalls,
  grounds: PassGrounds,
): LadderTimes {
  const areas = machinableAreas(reach),
    leastGainMm2 = leastGain(areas);
  const first = firstTimes(finishing, setup, layout, grounds);
  const unit = { ...finishing, areas: new Float64Array(finishing.areas.length).fill(1) };
  const doneAfter = rememberLast(({ share }: Left) => patchesDone(on, share));
  const followingBy = remembering((cutter: Cutter) => {
    const plan = restPlan(cutter, setup, layout),
      cutting = restCutting(unit, plan, closestSteps(grounds, { layout, setup, cutter }));
    return { plan, each: cutting.map((minutes) => minutes * plan.machine.timeFactor) };
  });
  const mill = millTimes(reach, finishing, setup, on);
  const following = (before: Left, { cutter, share }: Timed, isIn: (f: number) => boolean): number => {
    const cut = cutAfter(reach.surface, before, share, isIn);
    const inRegion = new Float64Array(cut.count);
    const sum = runningSum();
    const { plan, each } = followingBy(cutter);
    for (const f of cut.facets) {
      const area = finishing.areas[f] * (before.larger[f] - share[f]);
      inRegion[cut.regionOf[f]] += area;
      sum.add(area * each[f]);
    }
    for (const area of inRegion) sum.add(moveMinutes(area, plan, cutter, setup) * plan.machine.timeFactor);
    return sum.value();
  };
  return {
    mill,
    leastRate: (cutter) => followingBy(cutter).each,
    minutes: (before, own, earlier) => {
      if (isMill(own)) {
        return compensatedSum(mill(before, own).map(({ minutes }) => minutes));
      }
      if (before === null) return first(own, []);
      if (!earlier.every(isMill)) return following(before, own, () => true);
      const done = doneAfter(before),
        isMore = cleansDone(earlier, own, (f) => before.share[f], { on, done, areas, leastGainMm2 });
      return first(own, done) + (isMore ? following(before, own, (f) => done[on.patchOf[f]]) : 0);
    },
  };
}

export const isMill = (candidate: Timed): candidate is Mill => 'shapes' in candidate;

/**
 * Whether a cutter cleans anything of floors and walls after mills: an upright wall takes a thinner shaft than those that
 * have been on it, since borders of equal shafts differ by rounding, which is not left to areas.
 *
 * @param left share of a facet that those before it leave
 * @param done of each floor and wall whether mills have been on it
 * @param areas (F) machinable, mm²
 * @param leastGainMm2 of them, what is not worth a change
 */
export function cleansDone(
  before: readonly Timed[],
  own: Timed,
  left: (f: number) => number,
  {
    on,
    done,
    areas,
    leastGainMm2,
  }: {
    readonly on: FloorsAndWalls;
    readonly done: readonly boolean[];
    readonly areas: Float64Array;
    readonly leastGainMm2: number;
  },
): boolean {
  const shafts = before.filter(isMill).filter(({ cutter }) => own.cutter.DC >= cutter.DC - 1e-6);
  // One that is too short for a wall has not been on it.
  const isThinner = on.patches.map((_, p) => shafts.every(({ shapes }) => shapes[p].areaMm2 === 0));
  const sum = runningSum();
  for (let f = 0; f < areas.length; f++) {
    const p = on.patchOf[f];
    if (p < 0 || !done[p] || (on.patches[p].kind === 'wall' && !isThinner[p])) continue;
    sum.add(areas[f] * Math.max(0, left(f) - own.share[f]));
  }
  return sum.value() > leastGainMm2;
}

/** Minutes of a finisher over what it reaches, floors and walls left out that are done. */
function firstTimes(
  finishing: FinishingSurface,
  setup: Setup,
  layout: PassLayout,
  grounds: PassGrounds,
): (own: Timed, done: readonly boolean[]) => number {
  const timesOf = remembering(({ cutter, share }: Timed) => {
    const reached = reachedSurface(finishing, share);
    return PASSES.flatMap((pass) => {
      const ground = grounds[pass],
        plans = groundPlans(ground, { layout, setup, cutter });
      return passTimes(reached, ground.where, plans, ground.extents).map(({ minutes }, piece) => ({
        patch: ground.patchOf[piece],
        minutes,
      }));
    });
  });
  return (own, done) =>
    compensatedSum(timesOf(own).flatMap(({ patch, minutes }) => (done[patch] ? [] : [minutes])));
}

/**
 * Minutes beside the cutting of one connected piece of rest; none of a crumb that no move is worth, as its outline is
 * none: it is left, or taken along with what is near.
 */
export function moveMinutes(areaMm2: number, plan: PassPlan, cutter: Cutter, setup: Setup): number {
  const { leastAreaMm2 } = crumbLimits(setup.leastRingShare, cutter);
  return areaMm2 < leastAreaMm2 ? 0 : followingOverhead(areaMm2, plan);
}

/** Passes of a later cutter, that follow the surface, where they are closest. */
export function restPlan(cutter: Cutter, setup: Setup, layout: PassLayout): PassPlan {
  const spacingMm = Math.min(...bothPasses(layout, cutter).map((pass) => pass.spacingMm));
  const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, Math.PI / 2, layout.work);
  return { strategy: { kind: 'following' }, spacingMm, cutter, feedMmPerMin, machine: setup.machine };
}

/** Minutes of cutting on each facet of a later cutter. @param steps (F) that it has there in finishing, mm */
export function restCutting(surface: FinishingSurface, plan: PassPlan, steps: Float64Array): Float64Array {
  const closest = facetMinutes(surface, plan);
  return closest.map((minutes, f) => minutes * Math.min(1, plan.spacingMm / steps[f]));
}

/**
 * Connected patches of what a cutter is on after others: what these would leave if larger by the blend, where they do
 * leave any of it.
 *
 * @param after (F) share of each facet that it leaves
 */
export function cutAfter(
  { mesh, topology }: Surface,
  before: Left,
  after: Float64Array,
  isIn: (f: number) => boolean,
): CutRegions & { readonly facets: Uint32Array } {
  const around = keptOf(before.faces, (f) => before.larger[f] > after[f] && isIn(f));
  const { regionOfFace, count } = connectedAmong(topology, around);
  const numberOf = new Int32Array(count).fill(-1);
  let kept = 0;
  for (const f of around)
    if (before.share[f] > after[f] && numberOf[regionOfFace[f]] < 0) numberOf[regionOfFace[f]] = kept++;
  const facets = keptOf(around, (f) => {
    regionOfFace[f] = numberOf[regionOfFace[f]];
    return regionOfFace[f] >= 0;
  });
  return { mesh, topology, regionOf: regionOfFace, count: kept, facets };
}

/** Works a thing out once for each that is asked about. */
function remembering<K, T>(make: (key: K) => T): (key: K) => T {
  const known = new Map<K, T>();
  return (key) => {
    const made = known.get(key) ?? make(key);
    known.set(key, made);
    return made;
  };
}

/** Works a thing out once, as long as the same is asked for. */
function rememberLast<K, T>(make: (key: K) => T): (key: K) => T {
  let last: { readonly key: K; readonly made: T } | undefined;
  return (key) => {
    if (last?.key !== key) last = { key, made: make(key) };
    return last.made;
  };
}

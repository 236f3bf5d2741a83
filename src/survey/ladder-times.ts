import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Setup } from '../resolve-setup.js';
import { compensatedSum, runningSum } from '../core/sum.js';
import { passMask, type FinishingSurface } from '../time/finishing-surface.js';
import { passExtents, type CutRegions } from '../time/pass-pieces.js';
import { facetMinutes, followingOverhead, passTimes, type PassPlan } from '../time/pass-time.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { bothPasses, finishingFeed, reachedSurface, regionsOf, type PassLayout } from './finishing-passes.js';
import { patchesDone, type FloorsAndWalls } from './floors-and-walls.js';
import type { Candidate } from './ladder-candidates.js';
import { millTimes, type MillTimes } from './mill-times.js';
import type { Mill } from './mill-reach.js';

/**
 * Minutes of cutting, without the change of cutter, the shop's own factor included. Mills run over floors and walls.
 * The first of the other cutters runs waterline and raster over what it reaches of the rest, a later one follows the
 * surface over what was left before and is not after; so does the first where mills have been.
 */
export interface LadderTimes {
  /**
   * @param before, after (F) share of each facet that is left; null: all of each
   * @param isFirst none has run before but mills
   */
  minutes(before: Float64Array | null, own: Timed, after: Float64Array, isFirst: boolean): number;
  readonly mill: MillTimes;
}

/** A cutter, and the share of each facet that it leaves. */
export type Timed = Pick<Candidate, 'cutter' | 'share'>;

interface Rest extends CutRegions {
  /** facets of which something is left */
  readonly facets: Int32Array;
}

/**
 * Times for any two cutters of a ladder.
 *
 * Rest passes are laid as close as the closer of the cutter's two finishing steps: the even spacing that
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
): LadderTimes {
  const first = firstTimes(reach, finishing, setup, layout, on);
  const unit = { ...finishing, areas: new Float64Array(finishing.areas.length).fill(1) };
  const restOf = rememberLast((left: Float64Array) => restLeft(reach, left, () => true));
  const afterMills = rememberLast((left: Float64Array) => {
    const done = patchesDone(on, left);
    return { done, rest: restLeft(reach, left, (f) => done[on.patchOf[f]]) };
  });
  const perArea = new Map<Cutter, Float64Array>();
  const mill = millTimes(reach, finishing, setup, on);
  const following = (rest: Rest, before: Float64Array, cutter: Cutter, after: Float64Array): number => {
    const inRegion = new Float64Array(rest.count);
    const cutting = runningSum();
    const plan = restPlan(cutter, setup, layout),
      each = perArea.get(cutter) ?? facetMinutes(unit, plan);
    perArea.set(cutter, each);
    for (const f of rest.facets) {
      const area = finishing.areas[f] * Math.max(0, before[f] - after[f]);
      inRegion[rest.regionOf[f]] += area;
      cutting.add(area * each[f]);
    }
    for (const area of inRegion) if (area > 0) cutting.add(followingOverhead(area, plan));
    return cutting.value() * plan.machine.timeFactor;
  };
  return {
    mill,
    minutes: (before, own, after, isFirst) => {
      if (isMill(own)) return compensatedSum(mill(before, own, after).map(({ minutes }) => minutes));
      if (before === null) return first(own, []);
      if (!isFirst) return following(restOf(before), before, own.cutter, after);
      const { done, rest } = afterMills(before);
      return first(own, done) + following(rest, before, own.cutter, after);
    },
  };
}

export const isMill = (candidate: Timed): candidate is Mill => 'shapes' in candidate;

/** Minutes of a finisher over what it reaches, floors and walls left out that are done. */
function firstTimes(
  { surface, labels }: ReachAnalysis,
  finishing: FinishingSurface,
  setup: Setup,
  layout: PassLayout,
  { patchOf }: FloorsAndWalls,
): (own: Timed, done: readonly boolean[]) => number {
  const ofPass = (kind: 'waterline' | 'raster') => {
    const where = regionsOf(surface, passMask(labels, kind), patchOf);
    const strategy = kind === 'raster' ? { kind, feedRad: layout.rasterRad } : { kind };
    const patchOfRegion = new Int32Array(where.count).fill(-1);
    where.regionOf.forEach((region, f) => {
      if (region >= 0) patchOfRegion[region] = patchOf[f];
    });
    return { where, extents: passExtents(where, strategy), patchOfRegion };
  };
  const passes = { waterline: ofPass('waterline'), raster: ofPass('raster') };
  const known = new Map<Timed, readonly { readonly patch: number; readonly minutes: number }[]>();
  const timesOf = (own: Timed) => {
    const reached = reachedSurface(finishing, own.share);
    return bothPasses(layout, own.cutter).flatMap(({ strategy, spacingMm, steepestRad }) => {
      const { feedMmPerMin } = finishingFeed(setup, own.cutter, spacingMm, steepestRad, layout.work);
      const { where, extents, patchOfRegion } = passes[strategy.kind === 'raster' ? 'raster' : 'waterline'];
      const plan = { strategy, spacingMm, cutter: own.cutter, feedMmPerMin, machine: setup.machine };
      return passTimes(reached, where, plan, extents).map(({ minutes }, r) => ({
        patch: patchOfRegion[r],
        minutes,
      }));
    });
  };
  return (own, done) => {
    const times = known.get(own) ?? timesOf(own);
    known.set(own, times);
    return compensatedSum(times.filter(({ patch }) => !done[patch]).map(({ minutes }) => minutes));
  };
}

/** Passes of a later cutter, that follow the surface. */
export function restPlan(cutter: Cutter, setup: Setup, layout: PassLayout): PassPlan {
  const spacingMm = Math.min(...bothPasses(layout, cutter).map((pass) => pass.spacingMm));
  const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, Math.PI / 2, layout.work);
  return { strategy: { kind: 'following' }, spacingMm, cutter, feedMmPerMin, machine: setup.machine };
}

/** Connected patches of what is left of the machinable surface. */
export function restLeft(
  { surface, labels }: ReachAnalysis,
  left: Float64Array,
  isIn: (f: number) => boolean,
): Rest {
  const mask = labels.map((label, f) => (label < MACHINABLE_CLASSES && left[f] > 0 && isIn(f) ? 1 : 0));
  const facets: number[] = [];
  mask.forEach((isWanted, f) => {
    if (isWanted === 1) facets.push(f);
  });
  return { ...regionsOf(surface, mask), facets: Int32Array.from(facets) };
}

/** Works a thing out once, as long as the same is asked for. */
function rememberLast<K, T>(make: (key: K) => T): (key: K) => T {
  let last: { readonly key: K; readonly made: T } | undefined;
  return (key) => {
    if (last?.key !== key) last = { key, made: make(key) };
    return last.made;
  };
}

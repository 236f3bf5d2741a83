import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Setup } from '../resolve-setup.js';
import { runningSum } from '../core/sum.js';
import { passMask, type FinishingSurface } from '../time/finishing-surface.js';
import { passExtents, type CutRegions } from '../time/pass-pieces.js';
import {
  facetMinutes,
  followingOverhead,
  passTimes,
  totalPassTime,
  type PassPlan,
} from '../time/pass-time.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { bothPasses, finishingFeed, reachedSurface, regionsOf, type PassLayout } from './finishing-passes.js';

/**
 * Minutes of cutting, without the change of cutter, the shop's own factor included. The first cutter (before:
 * null) runs waterline and raster over what it reaches; a later one follows the surface over what was left
 * before and is not after.
 *
 * @param before, after (F) share of each facet that is left
 */
export type LadderTimes = (before: Float64Array | null, cutter: Cutter, after: Float64Array) => number;

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
): LadderTimes {
  const first = firstTimes(reach, finishing, setup, layout);
  const unit = { ...finishing, areas: new Float64Array(finishing.areas.length).fill(1) };
  const minutes = new Float64Array(finishing.areas.length);
  const restOf = remember((left: Float64Array) => restLeft(reach, left), Infinity);
  // A number per facet and cutter would be too much to keep.
  const perArea = remember(
    (cutter: Cutter) => facetMinutes(unit, restPlan(cutter, setup, layout), minutes),
    1,
  );
  return (before, cutter, after) => {
    if (before === null) return first(cutter, after);
    const rest = restOf(before);
    const inRegion = new Float64Array(rest.count);
    const cutting = runningSum();
    const each = perArea(cutter);
    for (const f of rest.facets) {
      const area = finishing.areas[f] * Math.max(0, before[f] - after[f]);
      inRegion[rest.regionOf[f]] += area;
      cutting.add(area * each[f]);
    }
    const plan = restPlan(cutter, setup, layout);
    for (const area of inRegion) if (area > 0) cutting.add(followingOverhead(area, plan));
    return cutting.value() * plan.machine.timeFactor;
  };
}

/** Minutes of a first cutter over what it reaches. */
function firstTimes(
  { surface, labels }: ReachAnalysis,
  finishing: FinishingSurface,
  setup: Setup,
  layout: PassLayout,
): (cutter: Cutter, left: Float64Array) => number {
  const regions = {
    waterline: regionsOf(surface, passMask(labels, 'waterline')),
    raster: regionsOf(surface, passMask(labels, 'raster')),
  };
  const extents = {
    waterline: passExtents(regions.waterline, { kind: 'waterline' }),
    raster: passExtents(regions.raster, { kind: 'raster', feedRad: layout.rasterRad }),
  };
  return (cutter, left) => {
    const reached = reachedSurface(finishing, left);
    return bothPasses(layout, cutter).reduce((minutes, { strategy, spacingMm, steepestRad }) => {
      const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, steepestRad);
      const pass = strategy.kind === 'raster' ? 'raster' : 'waterline';
      const plan = { strategy, spacingMm, cutter, feedMmPerMin, machine: setup.machine };
      return minutes + totalPassTime(passTimes(reached, regions[pass], plan, extents[pass])).minutes;
    }, 0);
  };
}

/** Passes of a later cutter, that follow the surface. */
export function restPlan(cutter: Cutter, setup: Setup, layout: PassLayout): PassPlan {
  const spacingMm = Math.min(...bothPasses(layout, cutter).map((pass) => pass.spacingMm));
  const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, Math.PI / 2);
  return { strategy: { kind: 'following' }, spacingMm, cutter, feedMmPerMin, machine: setup.machine };
}

/** Connected patches of what is left of the machinable surface. */
export function restLeft({ surface, labels }: ReachAnalysis, left: Float64Array): Rest {
  const mask = labels.map((label, f) => (label < MACHINABLE_CLASSES && left[f] > 0 ? 1 : 0));
  const facets: number[] = [];
  mask.forEach((isIn, f) => {
    if (isIn === 1) facets.push(f);
  });
  return { ...regionsOf(surface, mask), facets: Int32Array.from(facets) };
}

/** Works a thing out once for each key, as long as it is one of the last `most` keys. */
function remember<K extends object, T>(make: (key: K) => T, most: number): (key: K) => T {
  const known = new Map<K, T>();
  return (key) => {
    const found = known.get(key) ?? make(key);
    if (known.size >= most && !known.has(key)) known.clear();
    return known.set(key, found) && found;
  };
}

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
import type { ReachAnalysis, Reached } from './analyse-reach.js';
import {
  bothPasses,
  finishingFeed,
  finishingSurface,
  regionsOf,
  restMask,
  type PassLayout,
} from './finishing-passes.js';

/** Minutes of cutting, without the change of cutter, the shop's own factor included. */
export interface LadderTimes {
  /** The first cutter: waterline and raster over what it reaches. */
  first(cutter: Cutter, own: Left): number;
  /** A later one: passes that follow the surface, over what the one before it left and this one reaches. */
  after(before: Left, cutter: Cutter, own: Left): number;
}

/** What a cutter, or several, leave of each facet. */
type Left = Pick<Reached, 'share'>;

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
 */
export function ladderTimes(reach: ReachAnalysis, setup: Setup, layout: PassLayout): LadderTimes {
  const { surface, labels, areas } = reach;
  const finishing = finishingSurface(surface, labels, areas);
  const regions = {
    waterline: regionsOf(surface, passMask(labels, 'waterline')),
    raster: regionsOf(surface, passMask(labels, 'raster')),
  };
  const restOf = remember((own: Left): Rest => {
    const mask = restMask(labels, own.share);
    return { ...regionsOf(surface, mask), facets: Int32Array.from(facetsIn(mask)) };
  });
  const unit = { ...finishing, areas: new Float64Array(areas.length).fill(1) },
    minutesOf = new Float64Array(areas.length);
  const perArea = lastOnly((cutter: Cutter) =>
    facetMinutes(unit, restPlan(cutter, setup, layout), minutesOf),
  );
  const extents = {
    waterline: passExtents(regions.waterline, { kind: 'waterline' }),
    raster: passExtents(regions.raster, { kind: 'raster', feedRad: layout.rasterRad }),
  };
  const reachedAreas = new Float64Array(areas.length);
  return {
    first: (cutter, own) => {
      for (let f = 0; f < areas.length; f++) reachedAreas[f] = areas[f] * (1 - own.share[f]);
      const reached = { ...finishing, areas: reachedAreas };
      return bothPasses(layout, cutter).reduce((minutes, { strategy, spacingMm, steepestRad }) => {
        const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, steepestRad);
        const pass = strategy.kind === 'raster' ? 'raster' : 'waterline';
        const plan = { strategy, spacingMm, cutter, feedMmPerMin, machine: setup.machine };
        return minutes + totalPassTime(passTimes(reached, regions[pass], plan, extents[pass])).minutes;
      }, 0);
    },
    after: (before, cutter, own) =>
      restMinutes(
        finishing,
        restOf(before),
        before.share,
        own.share,
        perArea(cutter),
        restPlan(cutter, setup, layout),
      ),
  };
}

function restPlan(cutter: Cutter, setup: Setup, layout: PassLayout): PassPlan {
  const spacingMm = Math.min(...bothPasses(layout, cutter).map((pass) => pass.spacingMm));
  const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, Math.PI / 2);
  return { strategy: { kind: 'following' }, spacingMm, cutter, feedMmPerMin, machine: setup.machine };
}

function restMinutes(
  { areas }: FinishingSurface,
  rest: Rest,
  before: Float64Array,
  after: Float64Array,
  perArea: Float64Array,
  plan: PassPlan,
): number {
  const inRegion = new Float64Array(rest.count);
  const cutting = runningSum();
  for (let i = 0; i < rest.facets.length; i++) {
    const f = rest.facets[i];
    const area = areas[f] * Math.max(0, before[f] - after[f]);
    inRegion[rest.regionOf[f]] += area;
    cutting.add(area * perArea[f]);
  }
  for (const area of inRegion) if (area > 0) cutting.add(followingOverhead(area, plan));
  return cutting.value() * plan.machine.timeFactor;
}

const facetsIn = (mask: Uint8Array): number[] => {
  const list: number[] = [];
  mask.forEach((isIn, f) => {
    if (isIn) list.push(f);
  });
  return list;
};

/** Works a thing out once for each key. */
function remember<K extends object, T>(make: (key: K) => T): (key: K) => T {
  const known = new Map<K, T>();
  return (key) => {
    const found = known.get(key) ?? make(key);
    known.set(key, found);
    return found;
  };
}

/** Keeps only what was made last: a number per facet and cutter would be too much to keep. */
function lastOnly<K extends object, T>(make: (key: K) => T): (key: K) => T {
  let last: { readonly key: K; readonly made: T } | null = null;
  return (key) => {
    if (last?.key !== key) last = { key, made: make(key) };
    return last.made;
  };
}

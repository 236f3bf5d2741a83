import { MACHINABLE_CLASSES } from '../core/classes.js';
import { DEG_PER_RAD, RAD_PER_DEG } from '../core/units.js';
import type { Cutter } from '../cutter/catalogue.js';
import { facetNormals } from '../part/facet-normals.js';
import type { Surface } from '../part/types.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { passMask, type FinishingSurface } from '../time/finishing-surface.js';
import { stepdownAt, stepoverAt, type Steps } from '../time/pass-steps.js';
import { FIVE_DEGREES, rasterDirections, type RasterDirections } from '../time/raster-direction.js';
import { equalScallopAngle, splitCurve, splitGain } from '../time/split-curve.js';
import type { ZonedSurface } from '../zones/build-zones.js';
import { cornerAngles } from '../zones/cut-angles.js';
import { finishingSurface } from './finishing-passes.js';
import {
  askedSteps,
  borderGradients,
  finishingFeed,
  overlapAngle,
  splitEnd,
  type PassLayout,
} from './pass-layout.js';

/** The split curve and what follows from it, as the plan tells it. */
export type SplitAnswer = Pick<Plan['split'], 'fastestDeg' | 'curve' | 'gain' | 'cutterId'>;

/** More facets than this, and fewer directions of the raster are tried. */
const MANY_FACETS = 100_000;
/** Every 15 degrees from 0 up to 180. */
const FIFTEEN_DEGREES = FIVE_DEGREES.filter((_, i) => i % 3 === 0);

/**
 * The cutter that stands for the ladder's first one before that is known: the middle one of the catalogue. Split,
 * direction and what a pass cuts apart hardly depend on it, since both passes grow finer alike with a smaller ball.
 *
 * @param finishers large to small, not empty
 */
export const referenceCutter = (finishers: readonly Cutter[]): Cutter =>
  finishers[Math.floor((finishers.length - 1) / 2)];

export interface RasterChoice {
  /** overall, rad */
  readonly rasterRad: number;
  /**
   * best direction of each region that the raster cuts, degrees; null for others, or if none was asked for
   */
  readonly byRegionDeg: readonly (number | null)[];
  /** how many directions were tried; 0: the set-up gives it */
  readonly tried: number;
}

/** Direction of the raster: as the set-up says, or the fastest of those tried. */
export function rasterChoice(
  surface: Surface,
  finishing: FinishingSurface,
  regionOfFace: Int32Array,
  regions: number,
  setup: Setup,
  finishers: readonly Cutter[],
  splitDeg: number,
): RasterChoice {
  const { rasterDirectionDeg } = setup;
  if (rasterDirectionDeg !== 'auto') {
    const within = ((rasterDirectionDeg % 180) + 180) % 180;
    return { rasterRad: within * RAD_PER_DEG, byRegionDeg: [], tried: 0 };
  }
  const cutter = referenceCutter(finishers);
  const mask = passMask(finishing.classOf, 'raster');
  const feedsRad = mask.length > MANY_FACETS ? FIFTEEN_DEGREES : FIVE_DEGREES;
  const steps = askedSteps(setup),
    splitEndRad = splitEnd(finishing, setup, splitDeg);
  const found: RasterDirections = rasterDirections({
    surface: finishing,
    where: surface,
    regionOf: regionOfFace.map((region, f) => (mask[f] ? region : -1)),
    regions,
    steps,
    feedsRad,
    borderGradient: borderGradients({ splitRad: splitDeg * RAD_PER_DEG, splitEndRad }).raster,
    cutter,
    machine: setup.machine,
    feedMmPerMin: finishingFeed(setup, cutter, stepoverAt(steps, cutter, 1), splitEndRad).feedMmPerMin,
  });
  return {
    rasterRad: found.overall.feedRad,
    tried: feedsRad.length,
    byRegionDeg: found.byRegion.map(({ feedRad, minutes }) =>
      minutes > 0 && Number.isFinite(minutes) ? feedRad * DEG_PER_RAD : null,
    ),
  };
}

/**
 * The split curve before any cutter is chosen: of a ball of middle size.
 *
 * @param zoned classes of a split at 45 degrees: what is machinable does not depend on it
 */
export function fastestSplit(
  { surface, labels }: Pick<ZonedSurface, 'surface' | 'labels'>,
  setup: Setup,
  finishers: readonly Cutter[],
): SplitAnswer {
  const { areas } = facetNormals(surface.mesh);
  const finishing = finishingSurface(surface, labels, areas);
  const { rasterRad } = rasterChoice(
    surface,
    finishing,
    new Int32Array(areas.length),
    1,
    setup,
    finishers,
    45,
  );
  return splitAnswer(surface, finishing, setup, referenceCutter(finishers), 45, rasterRad);
}

/**
 * Minutes of cutting against the split angle for one cutter; links, approaches and air moves are not in it.
 */
export function splitAnswer(
  surface: Surface,
  finishing: FinishingSurface,
  setup: Setup,
  cutter: Cutter,
  splitDeg: number,
  rasterRad: number,
): SplitAnswer {
  const steps = askedSteps(setup);
  const feed = (spacingMm: number, steepestRad: number): number =>
    finishingFeed(setup, cutter, spacingMm, steepestRad).feedMmPerMin;
  const { points, fastest, single } = splitCurve({
    surface: finishing,
    mask: finishing.classOf.map((cls, f) => (cls < MACHINABLE_CLASSES && finishing.areas[f] > 0 ? 1 : 0)),
    cornerAngles: cornerAngles(surface.normals),
    steps,
    cutter,
    rasterFeedRad: rasterRad,
    feedMmPerMin: {
      waterline: feed(stepdownAt(steps, cutter, 1), Math.PI / 2),
      raster: feed(stepoverAt(steps, cutter, 1), splitEnd(finishing, setup, splitDeg)),
    },
    overlapRad: overlapAngle(finishing, setup, splitDeg),
    machine: setup.machine,
  });
  // The shop's own factor is in all other minutes of the plan.
  const planned = (minutes: number): number | null =>
    Number.isFinite(minutes) ? minutes * setup.machine.timeFactor : null;
  const at45 = points[45].minutes,
    // Minutes of nothing are 0 at any split.
    isTold = Number.isFinite(fastest.minutes) && fastest.minutes > 0;
  const gain = (minutes: number) => {
    if (!isTold) return { minutes: planned(minutes), share: null };
    return {
      minutes: planned(minutes),
      share: Number.isFinite(minutes) ? splitGain(fastest, minutes) : null,
    };
  };
  return {
    cutterId: cutter.id,
    fastestDeg: isTold ? Math.round(fastest.angleRad * DEG_PER_RAD) : null,
    curve: points.flatMap(({ minutes }, angleDeg) => {
      const finite = planned(minutes);
      return finite === null ? [] : [{ angleDeg, minutes: finite }];
    }),
    gain: {
      over45: gain(at45),
      overWaterline: gain(single.waterline),
      overRaster: gain(single.raster),
      followingMinutes: planned(single.following),
    },
  };
}

/** Wall angle where the steps leave equal scallops, degrees: 45 where both follow from one scallop height. */
export function equalScallopDeg(steps: Steps, { gradients }: PassLayout, cutter: Cutter): number {
  if (steps.kind === 'scallop' && steps.stepdownMm === undefined && steps.stepoverMm === undefined) return 45;
  const down = stepdownAt(steps, cutter, gradients.waterline),
    over = stepoverAt(steps, cutter, gradients.raster);
  return equalScallopAngle(down, over) * DEG_PER_RAD;
}

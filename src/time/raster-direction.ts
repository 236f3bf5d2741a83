import { runningSum } from '../core/sum.js';
import type { FinishingSurface } from './finishing-surface.js';
import { facetMinutes, type PassPlan } from './pass-time.js';
import { sideGradient, stepoverAt, type Steps } from './pass-steps.js';

export interface DirectionInput extends Pick<PassPlan, 'cutter' | 'feedMmPerMin' | 'machine'> {
  readonly surface: FinishingSurface;
  /** (F) region of each facet, -1: not cut by the raster */
  readonly regionOf: Int32Array;
  readonly regions: number;
  readonly steps: Steps;
  /** cos of split + overlap: no place is flatter to the passes; absent: the facets alone decide */
  readonly borderGradient?: number;
  /** directions to try in plan, rad; absent: every 5 degrees from 0 up to 180 */
  readonly feedsRad?: readonly number[];
}

export interface Direction {
  readonly feedRad: number;
  /** cutting only; `Infinity` where a wall parallel to the passes stays uncut */
  readonly minutes: number;
}

export interface RasterDirections {
  /** one direction for all regions together */
  readonly overall: Direction;
  /** the best of each region by itself */
  readonly byRegion: readonly Direction[];
}

/** Every 5 degrees from 0 up to 180: a feed and its opposite are the same. */
export const FIVE_DEGREES: readonly number[] = Array.from({ length: 36 }, (_, i) => (i * Math.PI) / 36);

/**
 * The direction of the raster that takes the least time, overall and per region. At fixed steps the length
 * decides; for an asked scallop height also the step, which the worst place of the region allows. The first
 * of equals is taken.
 *
 * @throws {RangeError} if arrays do not agree or no direction is given
 */
export function rasterDirections(input: DirectionInput): RasterDirections {
  const { regionOf, regions, feedsRad = FIVE_DEGREES } = input;
  if (feedsRad.length === 0) throw new RangeError('rasterDirections: no direction given');
  if (regionOf.length !== input.surface.areas.length) {
    throw new RangeError(`rasterDirections: ${regionOf.length} regions, not one per facet`);
  }
  const count = regionOf.length;
  const scratch: Scratch = { minutes: new Float64Array(count), gradients: new Float64Array(count) };
  const tried = feedsRad.map((feedRad) => regionMinutes(input, feedRad, scratch));
  const better = (pick: (at: RegionMinutes) => number): Direction => {
    let best = 0;
    tried.forEach((at, i) => {
      if (pick(at) < pick(tried[best]) * (1 - 1e-9)) best = i;
    });
    return { feedRad: feedsRad[best], minutes: pick(tried[best]) };
  };
  return {
    overall: better((at) => at.overall),
    byRegion: Array.from({ length: regions }, (_, region) => better((at) => at.byRegion[region])),
  };
}

interface RegionMinutes {
  readonly overall: number;
  readonly byRegion: readonly number[];
}

/** Filled anew for each direction. */
interface Scratch {
  readonly minutes: Float64Array;
  readonly gradients: Float64Array;
}

function regionMinutes(input: DirectionInput, feedRad: number, scratch: Scratch): RegionMinutes {
  const { surface, regionOf, regions, steps, cutter, borderGradient = 0 } = input;
  const strategy = { kind: 'raster', feedRad } as const;
  const { minutes, gradients } = scratch;
  facetMinutes(surface, { ...input, strategy, spacingMm: 1 }, minutes, gradients);
  const sums = Array.from({ length: regions }, runningSum);
  const least = new Float64Array(regions).fill(Infinity);
  for (let f = 0; f < minutes.length; f++) {
    const region = regionOf[f];
    if (region < 0) continue;
    sums[region].add(minutes[f]);
    if (gradients[f] < least[region]) least[region] = gradients[f];
  }
  const timed = (unit: number, gradient: number): number => {
    if (gradient === Infinity) return 0;
    const side = sideGradient(gradient, borderGradient);
    return side < 1e-9 ? Infinity : unit / stepoverAt(steps, cutter, side);
  };
  const units = sums.map((sum) => sum.value());
  return {
    overall: timed(units.reduce((a, b) => a + b, 0), Math.min(...least)),
    byRegion: units.map((unit, region) => timed(unit, least[region])),
  };
}

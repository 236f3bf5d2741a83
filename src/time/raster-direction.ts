import { checkLengths } from '../core/check-lengths.js';
import { mapTo } from '../core/map-to.js';
import { compensatedSum, runningSum } from '../core/sum.js';
import { connectedRegions } from '../surface/connected-regions.js';
import { someFacets, type FinishingSurface } from './finishing-surface.js';
import { rasterPieces, regionBorders, type CutRegions, type RegionBorders } from './pass-pieces.js';
import { facetMinutes, regionTime, type PassPlan } from './pass-time.js';
import { sideGradient, stepoverAt, type Steps } from './pass-steps.js';
import { totalsByRegion } from './path-length.js';

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
  /** mesh of the facets, for stops, links and air moves; absent: the cutting alone decides */
  readonly where?: Pick<CutRegions, 'mesh' | 'topology'>;
}

export interface Direction {
  readonly feedRad: number;
  /**
   * with stops, links and air moves if `where` is given, else cutting only; `Infinity` where a wall parallel
   * to the passes stays uncut
   */
  readonly minutes: number;
}

export type RasterDirections = Readonly<ReturnType<typeof rasterDirections>>;

/** Every 5 degrees from 0 up to 180: a feed and its opposite are the same. */
export const FIVE_DEGREES: readonly number[] = Array.from({ length: 36 }, (_, i) => (i * Math.PI) / 36);

/**
 * The direction of the raster that takes the least time, overall and per region. At fixed steps the length
 * decides; for an asked scallop height also the step, which the worst place of the region allows; and into
 * how many cuts the passes fall, each with its stops and many with a move through the air. Overall, regions
 * that hang together are cut in one. The first of equals is taken.
 *
 * @throws {RangeError} if arrays do not agree or no direction is given
 */
export function rasterDirections(input: DirectionInput) {
  const { regionOf, regions, feedsRad = FIVE_DEGREES } = input;
  if (feedsRad.length === 0) throw new RangeError('rasterDirections: no direction given');
  checkLengths('rasterDirections', { regions: [regionOf.length, input.surface.areas.length] });
  const facets = new Uint32Array(regionOf.length).map((_, f) => f).filter((f) => regionOf[f] >= 0);
  const scratch: Scratch = {
    minutes: new Float64Array(facets.length),
    gradients: new Float64Array(facets.length),
  };
  const between = input.where ? overheads(input, input.where, facets) : null;
  const cut = { ...input, surface: someFacets(input.surface, facets), regionOf: those(facets, regionOf) };
  const tried = feedsRad.map((feedRad) => regionMinutes(cut, feedRad, scratch, between));
  const better = (pick: (at: RegionMinutes) => number): Direction => {
    let best = 0;
    tried.forEach((at, i) => {
      if (pick(at) < pick(tried[best]) * (1 - 1e-9)) best = i;
    });
    return { feedRad: feedsRad[best], minutes: pick(tried[best]) };
  };
  return {
    /** one direction for all regions together */
    overall: better((at) => at.overall),
    /** the best of each region by itself */
    byRegion: Array.from({ length: regions }, (_, region) => better((at) => at.byRegion[region])),
  };
}

/** Entries of some facets. */
const those = (facets: Uint32Array, values: Int32Array): Int32Array =>
  mapTo(new Int32Array(facets.length), facets, (f) => values[f]);

interface RegionMinutes {
  readonly overall: number;
  readonly byRegion: readonly number[];
}

/** Filled anew for each direction. */
interface Scratch {
  readonly minutes: Float64Array;
  readonly gradients: Float64Array;
}

/** What time beside the cutting needs: borders and areas of the regions, and of what hangs together. */
type Overheads = ReturnType<typeof overheads>;

function overheads(
  { surface, regionOf, regions }: DirectionInput,
  where: Pick<CutRegions, 'mesh' | 'topology'>,
  facets: Uint32Array,
) {
  const { regionOfFace: joinedOf, count } = connectedRegions(
    where.topology,
    regionOf.map((r) => Math.min(r, 0)),
  );
  return {
    byRegion: regionBorders({ ...where, regionOf, count: regions }),
    areas: totalsByRegion(surface.areas, regionOf, regions),
    joined: regionBorders({ ...where, regionOf: joinedOf, count }),
    joinedAreas: totalsByRegion(surface.areas, joinedOf, count),
    /** of each of the facets that the raster cuts */
    joinedOf: those(facets, joinedOf),
  };
}

function regionMinutes(
  input: DirectionInput,
  feedRad: number,
  scratch: Scratch,
  between: Overheads | null,
): RegionMinutes {
  const { surface, regionOf, regions, steps, cutter, borderGradient = 0 } = input;
  const strategy = { kind: 'raster', feedRad } as const;
  const { minutes, gradients } = scratch;
  facetMinutes(surface, { ...input, strategy, spacingMm: 1 }, minutes, gradients);
  const sums = Array.from({ length: regions }, runningSum);
  const least = new Float64Array(regions).fill(Infinity);
  for (let f = 0; f < minutes.length; f++) {
    const region = regionOf[f];
    sums[region].add(minutes[f]);
    if (gradients[f] < least[region]) least[region] = gradients[f];
  }
  const stepOf = (gradient: number): number => {
    const side = sideGradient(gradient, borderGradient);
    return gradient === Infinity || side < 1e-9 ? 0 : stepoverAt(steps, cutter, side);
  };
  const cutting = (unit: number, gradient: number): number => {
    if (gradient === Infinity) return 0;
    return stepOf(gradient) > 0 ? unit / stepOf(gradient) : Infinity;
  };
  const units = Float64Array.from(sums, (sum) => sum.value());
  const worst = Math.min(...least);
  const byRegion = [...units].map((unit, region) => cutting(unit, least[region]));
  if (!between) return { overall: cutting(compensatedSum(units), worst), byRegion };
  const { joined, joinedAreas, joinedOf } = between;
  const joinedUnits = totalsByRegion(minutes, joinedOf, joined.count);
  return {
    overall: compensatedSum(
      withBetween(input, feedRad, joined, joinedAreas, joinedUnits, () => stepOf(worst)),
    ),
    byRegion: withBetween(input, feedRad, between.byRegion, between.areas, units, (r) => stepOf(least[r])),
  };
}

/** Minutes of each region with stops, links and air moves; 0 where it has nothing to cut. */
function withBetween(
  { feedMmPerMin, machine }: DirectionInput,
  feedRad: number,
  borders: RegionBorders,
  areas: Float64Array,
  units: ArrayLike<number>,
  stepOf: (region: number) => number,
): number[] {
  const { passes, pieces } = rasterPieces(borders, feedRad, 1);
  return Array.from(areas, (areaMm2, r) => {
    const step = stepOf(r);
    if (!(units[r] > 0)) return 0;
    if (!(step > 0)) return Infinity;
    const cutting = units[r] / step;
    // The path that takes so long at full feed stands for the true one: it only sets how long a piece is.
    const pathLengthMm = cutting * feedMmPerMin;
    return regionTime(
      { spacingMm: step, feedMmPerMin, machine },
      {
        areaMm2,
        pathLengthMm,
        passes: passes[r] / step,
        pieces: pieces[r] / step,
      },
      cutting,
    ).dynamicMinutes;
  });
}

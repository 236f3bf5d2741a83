import { checkLengths } from '../core/check-lengths.js';
import { compensatedSum, runningSum } from '../core/sum.js';
import { checkSurface, type CutterShape, type FinishingSurface, type Strategy } from './finishing-surface.js';
import type { Machine } from './machine.js';
import { centreFactor, feedBend, framer, newFrame } from './pass-frame.js';
import { passExtents, passPieces, type CutRegions, type PassExtents } from './pass-pieces.js';
import { checkSpacing } from './path-length.js';
import { blockTimeCap, centripetalCap, cornerCap, naiveSeconds, restToRestSeconds } from './segment-time.js';

/** One pass (or one region of it): lengths, counts and minutes. Counts are means, hence fractions. */
export interface PassTime {
  readonly areaMm2: number;
  /** length of the way of the cutter's centre, mm: the one the feed acts on */
  readonly pathLengthMm: number;
  readonly passes: number;
  /** separate cuts */
  readonly pieces: number;
  /** steps from one cut to the next, along the border */
  readonly links: number;
  /** moves through the air, each with an approach; the first of every region among them */
  readonly airMoves: number;
  /** path length over feed */
  readonly naiveMinutes: number;
  /** with slow-down on curves, stops, links and air moves; never below `naiveMinutes` */
  readonly dynamicMinutes: number;
  /** `dynamicMinutes` times the shop's own factor: the planning estimate */
  readonly minutes: number;
}

export interface PassPlan {
  readonly strategy: Strategy;
  readonly spacingMm: number;
  readonly cutter: CutterShape;
  readonly feedMmPerMin: number;
  readonly machine: Machine;
}

/**
 * Feed that is left on a curved stretch of path: held to the block time (blocks as long as the chord
 * tolerance allows), to the corner between two blocks, and to the acceleration towards the centre of the
 * curve.
 *
 * @param radiusMm of the path, >= 0, below the tolerances as if equal to them: there the control cuts it
 *   short; `Infinity` on a straight
 * @returns mm/min, up to `feedMmPerMin`, > 0
 */
export function feedOnCurve(radiusMm: number, feedMmPerMin: number, machine: Machine): number {
  if (radiusMm === Infinity) return feedMmPerMin;
  const radius = Math.max(radiusMm, machine.cornerToleranceMm, machine.chordToleranceMm);
  const blockMm = 2 * Math.sqrt(2 * machine.chordToleranceMm * radius);
  return Math.min(
    feedMmPerMin,
    blockTimeCap(blockMm, machine.blockTimeMs),
    cornerCap(blockMm / radius, machine.cornerToleranceMm, machine.accelerationMmPerS2),
    centripetalCap(radius, machine.accelerationMmPerS2),
  );
}

/** How a pass runs over one facet; filled anew for each, so nothing is allocated in the loops. */
const newCut = () => ({
  /** |∇f|: contact path per mm² is this over the spacing */
  gradient: 0,
  /** the same for the way of the cutter's centre */
  stretch: 0,
  /** mm/min */
  feed: 0,
});
type FacetCut = ReturnType<typeof newCut>;

/** Fills a `FacetCut` for one facet after the other; the choices are made once. */
function facetCutter(surface: FinishingSurface, plan: PassPlan): (f: number, cut: FacetCut) => void {
  const { strategy, cutter, feedMmPerMin, machine } = plan;
  const { normals } = surface;
  const isFollowing = strategy.kind === 'following';
  const frame = newFrame(),
    place = framer(strategy);
  const free = unhinderedRadius(feedMmPerMin, machine);
  return (f, cut) => {
    place(normals[3 * f], normals[3 * f + 1], normals[3 * f + 2], frame);
    const along = feedBend(surface, f, strategy, frame);
    cut.gradient = frame.gradient;
    cut.stretch = frame.gradient * centreFactor(surface, f, isFollowing, cutter, frame, along);
    // Compared as products: where nothing bends there is no radius.
    const isFree = cut.stretch >= free * Math.abs(along);
    cut.feed = isFree ? feedMmPerMin : feedOnCurve(cut.stretch / Math.abs(along), feedMmPerMin, machine);
  };
}

/**
 * Minutes of cutting on each facet: path of the cutter's centre at the feed that its curvature allows.
 *
 * Length of the passes by the co-area formula, `A |∇f| / spacing`: waterline `A sin θ / stepdown`, raster
 * `A √(1 - (n·d)²) / stepover` for the step direction d (level, square to the feed), following `A / spacing`.
 * Exact on flat facets as a mean over where the first pass starts. Source: Federer 1959, "Curvature measures";
 * Evans & Gariepy, chapter 3.
 *
 * The path lies in a plane at the angle whose cosine is |∇f| to the normal, so by Meusnier's theorem it is
 * curved `k/|∇f|` on the surface, and with the centre's way `|∇f| (dl_centre/dl) / |k|` is its radius.
 *
 * @param out (F) minutes
 * @param gradients (F) filled with |∇f| if given
 */
export function facetMinutes(
  surface: FinishingSurface,
  plan: PassPlan,
  out?: Float64Array,
  gradients?: Float64Array,
): Float64Array {
  const { areas } = surface;
  const result = out ?? new Float64Array(checkSurface('facetMinutes', surface));
  const cut = newCut(),
    fill = facetCutter(surface, plan);
  for (let f = 0; f < areas.length; f++) {
    fill(f, cut);
    result[f] = (areas[f] * cut.stretch) / (plan.spacingMm * cut.feed);
    if (gradients) gradients[f] = cut.gradient;
  }
  return result;
}

/**
 * Radius from which a curve takes nothing off the feed, mm: `feedOnCurve` rises with the radius, so by
 * halving.
 */
function unhinderedRadius(feedMmPerMin: number, machine: Machine): number {
  let low = 0,
    high = 1;
  while (feedOnCurve(high, feedMmPerMin, machine) < feedMmPerMin) high *= 2;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (feedOnCurve(middle, feedMmPerMin, machine) < feedMmPerMin) low = middle;
    else high = middle;
  }
  return high;
}

/**
 * Time of a pass over each region. The model, which the plan's assumptions must state:
 * every separate cut starts and stops (loops too); cuts on neighbouring passes are joined by a link one
 * spacing long at feed; what is left over needs an air move: up and down by the clearance and across half the
 * side of a square as large as the region, at rapid, then the approach. Lead-ins and re-cut strips are not
 * counted.
 *
 * @param surface one entry per facet of the mesh of `where`
 * @param plan of all regions, or one for each; of one strategy
 * @param extents of `where` under the plan's strategy, where they are known
 * @returns one entry per region
 * @throws {RangeError} if arrays do not agree or a spacing or feed is not positive
 */
export function passTimes(
  surface: FinishingSurface,
  where: CutRegions,
  plan: PassPlan | readonly PassPlan[],
  extents?: PassExtents,
): PassTime[] {
  const { regionOf, count: regions } = where;
  const plans = 'length' in plan ? plan : Array.from({ length: regions }, () => plan);
  checkLengths('passTimes', { plans: [plans.length, regions] });
  if (regions === 0) return [];
  const fills = new Map([...new Set(plans)].map((own) => [own, facetCutter(surface, own)]));
  for (const { feedMmPerMin, spacingMm } of fills.keys()) {
    if (!(feedMmPerMin > 0)) throw new RangeError(`passTimes: feed ${feedMmPerMin}, expected > 0`);
    checkSpacing('passTimes', spacingMm);
  }
  checkLengths('passTimes', { regions: [regionOf.length, checkSurface('passTimes', surface)] });
  const sums = Array.from({ length: regions }, () => ({
    area: runningSum(),
    path: runningSum(),
    cutting: runningSum(),
  }));
  const cut = newCut(),
    fillOf = plans.map((own) => fills.get(own)!);
  for (let f = 0; f < regionOf.length; f++) {
    const area = surface.areas[f];
    if (regionOf[f] < 0 || area === 0) continue;
    fillOf[regionOf[f]](f, cut);
    const { spacingMm } = plans[regionOf[f]];
    const sum = sums[regionOf[f]];
    sum.area.add(area);
    sum.path.add((area * cut.stretch) / spacingMm);
    sum.cutting.add((area * cut.stretch) / (spacingMm * cut.feed));
  }
  const spacings = plans.map(({ spacingMm }) => spacingMm);
  const { passes, pieces } = passPieces(extents ?? passExtents(where, plans[0].strategy), spacings);
  return sums.map(({ area, path, cutting }, region) =>
    regionTime(
      plans[region],
      {
        areaMm2: area.value(),
        pathLengthMm: path.value(),
        passes: passes[region],
        pieces: pieces[region],
      },
      cutting.value(),
    ),
  );
}

type Counted = Pick<PassTime, 'areaMm2' | 'pathLengthMm' | 'passes' | 'pieces'>;

/** Time of one region whose cutting, passes and pieces are known. */
export function regionTime(
  plan: Pick<PassPlan, 'spacingMm' | 'feedMmPerMin' | 'machine'>,
  counted: Counted,
  cuttingMinutes: number,
): PassTime {
  const { spacingMm, feedMmPerMin, machine } = plan;
  const { areaMm2, pathLengthMm, passes } = counted;
  const empty = pathLengthMm === 0;
  // A region between two levels is still cut once.
  const pieces = empty ? 0 : Math.max(1, counted.pieces);
  const links = empty ? 0 : Math.max(0, Math.min(passes, pieces) - 1);
  const airMoves = pieces - links;
  const betweenMinutes =
    (links * restToRestSeconds(spacingMm, feedMmPerMin, machine) +
      airMoves * airSeconds(Math.sqrt(areaMm2) / 2, machine)) /
    60;
  const stops = empty ? 0 : pieces * stopMinutes(pathLengthMm / pieces, feedMmPerMin, machine);
  const dynamicMinutes = cuttingMinutes + stops + betweenMinutes;
  return {
    ...counted,
    pieces,
    links,
    airMoves,
    naiveMinutes: pathLengthMm / feedMmPerMin,
    dynamicMinutes,
    minutes: dynamicMinutes * machine.timeFactor,
  };
}

/** What starting and stopping takes longer than running through, for one piece of path. */
function stopMinutes(pieceMm: number, feedMmPerMin: number, machine: Machine): number {
  return (restToRestSeconds(pieceMm, feedMmPerMin, machine) - naiveSeconds(pieceMm, feedMmPerMin)) / 60;
}

/**
 * Minutes that one region of passes that follow the surface takes beside the cutting: one spiral, one air
 * move.
 */
export function followingOverhead(areaMm2: number, { spacingMm, feedMmPerMin, machine }: PassPlan): number {
  return (
    stopMinutes(areaMm2 / spacingMm, feedMmPerMin, machine) + airSeconds(Math.sqrt(areaMm2) / 2, machine) / 60
  );
}

/** Up, across, down at rapid, and the approach, s. */
function airSeconds(acrossMm: number, machine: Machine): number {
  return (
    2 * restToRestSeconds(machine.clearanceMm, machine.rapidMmPerMin, machine) +
    restToRestSeconds(acrossMm, machine.rapidMmPerMin, machine) +
    restToRestSeconds(machine.approachMm, machine.approachFeedMmPerMin, machine)
  );
}

/** Sum of the entries of `times`, field by field. */
export function totalPassTime(times: readonly PassTime[]): PassTime {
  const total = (field: keyof PassTime): number => compensatedSum(times.map((time) => time[field]));
  return {
    areaMm2: total('areaMm2'),
    pathLengthMm: total('pathLengthMm'),
    passes: total('passes'),
    pieces: total('pieces'),
    links: total('links'),
    airMoves: total('airMoves'),
    naiveMinutes: total('naiveMinutes'),
    dynamicMinutes: total('dynamicMinutes'),
    minutes: total('minutes'),
  };
}

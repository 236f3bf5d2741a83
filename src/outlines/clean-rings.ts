import { firstWhere } from '../core/first-where.js';
import { addToList } from '../core/lists.js';
import type { Clipper } from './clipper.js';
import { findCrossings } from './crossings.js';
import { pointInRings, ringArea, ringLength, ringSides } from './ring-measures.js';
import type { Outlines } from './types.js';

/** Strips narrower than this are no area but the plan of a vertical wall, mm. */
export const SLIVER_MM = 0.001;

/**
 * A region whose facets together have no more area in plan keeps no ring, mm²: a disc as wide as a sliver.
 */
export const LEAST_COVER_MM2 = 0.785 * SLIVER_MM * SLIVER_MM;

/** Untangled rings that still touch at a corner are drawn in by this, so that they keep apart, mm. */
const APART_MM = 0.0002;

/** A ring with the height above each of its points. */
interface HighRing {
  readonly plan: Float64Array;
  readonly heights: Float64Array;
}

/**
 * Makes each region's rings fit to be filled and cut: simple, outer rings counter-clockwise, holes clockwise,
 * no ring crossing another. Where walls make borders cross or fall together in plan, what the region covers
 * is taken and strips narrower than `SLIVER_MM` are dropped; a region of vertical walls alone keeps no ring.
 *
 * @param mayCover whether a region's facets, seen from above, have any area that a ring could enclose
 *
 * Rings come out by region, then larger area first, each beginning at its lowest point by x, then y.
 */
export function cleanRings(
  outlines: Outlines,
  clipper: Clipper,
  mayCover: (region: number) => boolean = () => true,
): Outlines {
  const byRegion = new Map<number, HighRing[]>();
  outlines.regionOfRing.forEach((region, r) => {
    const [from, to] = [outlines.start[r], outlines.start[r + 1]];
    if (to - from < 3 || !mayCover(region)) return;
    const ring = { plan: outlines.points.slice(2 * from, 2 * to), heights: outlines.heights.slice(from, to) };
    addToList(byRegion, region, ring);
  });
  const regions = [...byRegion.keys()].sort((a, b) => a - b);
  return pack(regions.map((region) => ({ region, rings: cleanRegion(byRegion.get(region) ?? [], clipper) })));
}

function cleanRegion(rings: HighRing[], clipper: Clipper): HighRing[] {
  const turned = upright(rings);
  const plans = turned.map((ring) => ring.plan);
  const clean = meet(plans, SLIVER_MM) || !isNested(turned) ? untangle(turned, clipper) : turned;
  const sized = clean.map((ring) => ({ ring: fromLowest(ring), area: Math.abs(ringArea(ring.plan)) }));
  return sized
    .sort((a, b) => b.area - a.area || a.ring.plan[0] - b.ring.plan[0] || a.ring.plan[1] - b.ring.plan[1])
    .map(({ ring }) => ring);
}

/** Whether any side comes within a hair of another that it does not join. */
function meet(rings: readonly Float64Array[], hairMm: number): boolean {
  let found = false;
  findCrossings(ringSides(rings), hairMm, () => (found = true));
  return found;
}

/**
 * Whether rings that do not cross alternate in direction from the outside inwards; else the region covers
 * itself.
 */
function isNested(rings: readonly HighRing[]): boolean {
  return rings.every(({ plan }) => {
    const others = rings.filter((other) => other.plan !== plan).map((other) => other.plan);
    const isHole = pointInRings((plan[0] + plan[2]) / 2, (plan[1] + plan[3]) / 2, others);
    return ringArea(plan) < 0 === isHole;
  });
}

/** A surface that faces down is traced the other way round. */
function upright(rings: HighRing[]): HighRing[] {
  const total = rings.reduce((sum, ring) => sum + ringArea(ring.plan), 0);
  if (total >= 0) return rings;
  return rings.map(({ plan, heights }) => {
    const reversed = new Float64Array(plan.length);
    for (let i = 0; i < plan.length; i += 2) {
      reversed[i] = plan[plan.length - 2 - i];
      reversed[i + 1] = plan[plan.length - 1 - i];
    }
    return { plan: reversed, heights: heights.slice().reverse() };
  });
}

/**
 * Borders of a wall lie over each other but for rounding, and cross there without end: on this grid, mm, most
 * do not.
 */
const GRID_MM = SLIVER_MM / 10;
/**
 * Regions narrower than this, their area over the length of their border, mm, would be changed by the grid.
 */
const NARROW_MM = 0.02;

/** Rings on the grid, unless the region is narrow: resolved in a third of the time. */
function onGrid(rings: readonly HighRing[]): Float64Array[] {
  const plans = rings.map(({ plan }) => plan);
  const area = Math.abs(plans.reduce((sum, plan) => sum + ringArea(plan), 0));
  if (area < NARROW_MM * plans.reduce((sum, plan) => sum + ringLength(plan), 0)) return plans;
  return plans.map((plan) => plan.map((value) => Math.round(value / GRID_MM) * GRID_MM));
}

function untangle(rings: readonly HighRing[], clipper: Clipper): HighRing[] {
  // Walls seen edge on leave thousands of hairs, which drawing in would drop, were it not for the memory it
  // takes.
  const covered = clipper
    .resolve(onGrid(rings), 'NonZero')
    .filter((plan) => 4 * Math.abs(ringArea(plan)) > SLIVER_MM * ringLength(plan));
  const shrunk = clipper.offset(covered, -SLIVER_MM / 2, 'miter', SLIVER_MM);
  const full = clipper.offset(shrunk, SLIVER_MM / 2, 'miter', SLIVER_MM);
  const opened = meet(full, 0) ? clipper.offset(shrunk, SLIVER_MM / 2 - APART_MM, 'miter', SLIVER_MM) : full;
  const lift = heightsFrom(rings);
  return opened
    .map(lift)
    .flatMap(splitAtRepeats)
    .filter(({ plan }) => plan.length >= 6 && 2 * Math.abs(ringArea(plan)) > SLIVER_MM * ringLength(plan));
}

/** Gives each point of a clipped ring the height of the nearest point of the border. */
function heightsFrom(rings: readonly HighRing[]): (plan: Float64Array) => HighRing {
  const known = rings.flatMap(({ plan, heights }) =>
    [...heights].map((z, i) => ({ x: plan[2 * i], y: plan[2 * i + 1], z })),
  );
  known.sort((a, b) => a.x - b.x || a.y - b.y || b.z - a.z);
  const nearest = (x: number, y: number) => {
    const from = firstWhere(known.length, (i) => known[i].x >= x);
    let best = known[Math.min(from, known.length - 1)],
      square = Infinity;
    const look = (i: number): boolean => {
      const one = known[i];
      const dx = one.x - x,
        dy = one.y - y;
      if (dx * dx > square) return false;
      if (dx * dx + dy * dy < square) [best, square] = [one, dx * dx + dy * dy];
      return true;
    };
    for (let i = from; i < known.length && look(i); i++);
    for (let i = from - 1; i >= 0 && look(i); i--);
    return best.z;
  };
  return (plan) => ({
    plan,
    heights: Float64Array.from({ length: plan.length / 2 }, (_, i) => nearest(plan[2 * i], plan[2 * i + 1])),
  });
}

/** Cuts a ring that passes a point twice into rings that do not. */
function splitAtRepeats({ plan, heights }: HighRing): HighRing[] {
  const rings: HighRing[] = [];
  const path: number[] = [];
  const depthOf = new Map<string, number>();
  const keyOf = (i: number) => `${plan[2 * i]} ${plan[2 * i + 1]}`;
  const take = (indices: number[]) => {
    if (indices.length < 3) return;
    const points = indices.flatMap((i) => [plan[2 * i], plan[2 * i + 1]]);
    rings.push({ plan: Float64Array.from(points), heights: Float64Array.from(indices, (i) => heights[i]) });
  };
  for (let i = 0; i < heights.length; i++) {
    const depth = depthOf.get(keyOf(i));
    if (depth !== undefined) {
      const ring = path.splice(depth);
      for (const one of ring) depthOf.delete(keyOf(one));
      take(ring);
    }
    depthOf.set(keyOf(i), path.length);
    path.push(i);
  }
  take(path);
  return rings;
}

function fromLowest({ plan, heights }: HighRing): HighRing {
  let low = 0;
  for (let i = 2; i < plan.length; i += 2) {
    if (plan[i] < plan[low] || (plan[i] === plan[low] && plan[i + 1] < plan[low + 1])) low = i;
  }
  const turned = new Float64Array(plan.length),
    lifted = new Float64Array(heights.length);
  turned.set(plan.subarray(low));
  turned.set(plan.subarray(0, low), plan.length - low);
  lifted.set(heights.subarray(low / 2));
  lifted.set(heights.subarray(0, low / 2), heights.length - low / 2);
  return { plan: turned, heights: lifted };
}

function pack(regions: readonly { region: number; rings: HighRing[] }[]): Outlines {
  const rings = regions.flatMap(({ region, rings: own }) => own.map((ring) => ({ region, ring })));
  const start = new Uint32Array(rings.length + 1);
  rings.forEach(({ ring }, r) => {
    start[r + 1] = start[r] + ring.heights.length;
  });
  const points = new Float64Array(2 * start[rings.length]),
    heights = new Float64Array(start[rings.length]);
  rings.forEach(({ ring }, r) => {
    points.set(ring.plan, 2 * start[r]);
    heights.set(ring.heights, start[r]);
  });
  return { points, heights, start, regionOfRing: Int32Array.from(rings, ({ region }) => region) };
}

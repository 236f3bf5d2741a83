import { chordSagitta } from '../part/sagittas.js';
import type { CutterProfile } from '../cutter/cutter-profile.js';
import { ballQuery } from './ball-contact.js';
import type { PartTree } from './part-tree.js';
import { ballReach, isReached, type AtPoint, type GapLimits } from './ball-reach.js';
import { columnThickness } from './column-thickness.js';
import { columnTop } from './column-top.js';
import { cutterGap } from './cutter-gap.js';

/**
 * Numbers per point asked about: position on the true surface, unit normal of the side of it that is meant.
 */
export const POINT_STRIDE = 6;
/** Numbers per upright column asked about: a point, its foot, and how high it may be; NaN: not foretold. */
export const COLUMN_STRIDE = 7;
/**
 * Numbers per edge asked about: of its first end, which the cutter does not reach, and of its second, which
 * it does, position on the true surface, normal and reach radius; then the index of the radius.
 */
export const CROSSING_STRIDE = 15;

/**
 * Largest radius that reaches each point; one of the list where it is that but for rounding.
 *
 * @param points (6 N) see `POINT_STRIDE`
 * @param radii ascending, mm, the allowance left on the part included
 * @returns (N) mm, see `BallReach`; Infinity where the largest of the radii reaches
 */
export function reachRadii(
  tree: PartTree,
  points: Float64Array,
  radii: Float64Array,
  limits: GapLimits,
): Float64Array {
  const reach = ballReach(ballQuery(tree), limits);
  const most = radii[radii.length - 1];
  const out = new Float64Array(points.length / POINT_STRIDE);
  for (let i = 0; i < out.length; i++) {
    const o = POINT_STRIDE * i;
    let found = reach.radius(
      points[o],
      points[o + 1],
      points[o + 2],
      points[o + 3],
      points[o + 4],
      points[o + 5],
      most,
    );
    for (const radius of radii) if (radius > found && isReached(radius, found)) found = radius;
    out[i] = found >= most ? Infinity : found;
  }
  return out;
}

/**
 * Gap of one cutter at each point.
 *
 * @param points (6 N)
 * @param profile the allowance left on the part included (`offsetProfile`)
 * @param enough larger gaps need not be told, mm
 * @param greater gaps that are not so many times greater than all before need not be told: 0
 * @returns (N) mm; Infinity: more than enough
 */
export function gapsAt(
  tree: PartTree,
  points: Float64Array,
  profile: CutterProfile,
  enough: number,
  limits: GapLimits,
  greater = 0,
): Float64Array {
  const { gap, isWithin } = gapsOf(tree, profile, enough, limits);
  let greatest = 0;
  return Float64Array.from({ length: points.length / POINT_STRIDE }, (_, i) => {
    const [x, y, z, nx, ny, nz] = points.subarray(POINT_STRIDE * i, POINT_STRIDE * (i + 1));
    if (greater > 0 && greatest > 0 && isWithin([x, y, z, nx, ny, nz], greater * greatest)) return 0;
    const found = gap(x, y, z, nx, ny, nz);
    greatest = Math.max(greatest, Math.min(found, enough));
    return found;
  });
}

interface Gaps {
  gap(...at: AtPoint): number;
  isWithin(at: AtPoint, limit: number): boolean;
}

function gapsOf(tree: PartTree, profile: CutterProfile, enough: number, limits: GapLimits): Gaps {
  if (profile.kind === 'ball') {
    const { gap, isWithin } = ballReach(ballQuery(tree), limits);
    return {
      gap: (...at) => gap(...at, profile.radiusMm, enough),
      isWithin: (at, limit) => isWithin(...at, profile.radiusMm, limit),
    };
  }
  const gaps = cutterGap(tree, profile, limits);
  const within = limits.toleranceMm / 4;
  return {
    gap: (...at) => {
      const gap = gaps.gap(...at, within, enough);
      return gap < enough ? gap : Infinity;
    },
    isWithin: (at, limit) => gaps.gap(...at, limit, limit) <= limit,
  };
}

/**
 * What a cutter leaves over places of the part, straight upwards.
 *
 * @param feet (7 N) see `COLUMN_STRIDE`; over one inside the true part, on ground that stands between the chord of a
 *   wall and the wall, there is part, no rest
 * @param profile the allowance left on the part included (`offsetProfile`)
 * @param topMm height of the top of the part: rest ends there
 * @returns (N) mm, see `columnThickness`
 */
export function thicknessesAt(
  tree: PartTree,
  feet: Float64Array,
  profile: CutterProfile,
  topMm: number,
  limits: GapLimits,
): Float64Array {
  const { radiusMm } = profile,
    { toleranceMm } = limits;
  const options = { clearedAt: clearedBy(tree, profile, limits), radiusMm, toleranceMm };
  const topOver = columnTop(tree),
    off = FACETS_MISS * limits.slackMm;
  let last = 0;
  return Float64Array.from({ length: feet.length / COLUMN_STRIDE }, (_, i) => {
    const [x, y, z, nx, ny, nz, foretold] = feet.subarray(COLUMN_STRIDE * i, COLUMN_STRIDE * (i + 1));
    if (topOver(x + off * nx, y + off * ny) > z + off * (nz + 1)) return 0;
    const guess = Number.isNaN(foretold) ? last : foretold;
    last = columnThickness(x, y, z, Math.max(0, topMm - z), guess, options);
    return last;
  });
}

/** A place of the true surface lies no farther inside its facets than this, in what the cutter may enter them by. */
const FACETS_MISS = 2;

function clearedBy(
  tree: PartTree,
  profile: CutterProfile,
  limits: GapLimits,
): (x: number, y: number, z: number) => number {
  if (profile.kind === 'ball') {
    const { clearedAt } = ballReach(ballQuery(tree), limits);
    return (x, y, z) => clearedAt(x, y, z, profile.radiusMm);
  }
  return cutterGap(tree, profile, limits).clearedAt;
}

/** Beyond this many times the cutter's radius reach radii are not told apart. */
const FAR = 1.5;
/** An edge is cut this often at most. */
const MOST_CUTS = 16;
/** A place that reaches by less than this share more than the radius may lie on a plateau. */
const PLATEAU = 0.01;
/** A value this share of those at the ends says that reach is nearly linear in between. */
const NEARLY_LINEAR = 0.25;

/**
 * Where along each edge the reach radius passes that of a cutter.
 *
 * Reach radii are nearly linear along an edge: beside two planes they are, but for the tolerance. So the
 * border is looked for by the rule of false position, or by halving while that does not hold. Where a fillet
 * begins the borders of many radii lie together: what is found for one is remembered for the next, if it is
 * of the same edge.
 *
 * @param edges (15 E) see `CROSSING_STRIDE`; those of one edge best one after the other, largest radius first
 * @param radii mm
 * @param accuracyMm how far the border may lie from the point given, along the edge
 * @returns (E) fraction of the edge, 0 .. 1
 */
export function reachCrossings(
  tree: PartTree,
  edges: Float64Array,
  radii: Float64Array,
  limits: GapLimits,
  accuracyMm: number,
): Float64Array {
  const reach = ballReach(ballQuery(tree), limits);
  const point = new Float64Array(POINT_STRIDE);
  const out = new Float64Array(edges.length / CROSSING_STRIDE);
  const samples = edgeSamples();
  for (let i = 0; i < out.length; i++) {
    const e = CROSSING_STRIDE * i,
      radius = radii[edges[e + 14]],
      far = FAR * radius;
    if (i === 0 || !isSameEdge(edges, e - CROSSING_STRIDE, e)) samples.clear();
    const reachAt = (s: number): number => {
      pointOnEdge(edges, e, s, point);
      const x = point[0],
        y = point[1],
        z = point[2],
        nx = point[3],
        ny = point[4],
        nz = point[5];
      const found = reach.radius(x, y, z, nx, ny, nz, far);
      samples.add(s, Math.min(far, found));
      return found < radius && isReached(radius, found) ? radius : found;
    };
    const bracket = samples.around(radius, edges[e + 6], edges[e + 13]);
    out[i] = crossing(bracket, radius, accuracyMm / edgeLength(edges, e), reachAt);
  }
  return out;
}

function isSameEdge(edges: Float64Array, e: number, f: number): boolean {
  for (let k = 0; k < CROSSING_STRIDE - 1; k++) if (edges[e + k] !== edges[f + k]) return false;
  return true;
}

/** Two places on an edge, as fractions, and the reach radii there: one below a radius, the other not. */
interface Bracket {
  readonly low: number;
  readonly high: number;
  readonly atLow: number;
  readonly atHigh: number;
}

interface EdgeSamples {
  clear(): void;
  /** @param reach mm, or as far as it was looked for */
  add(s: number, reach: number): void;
  /** The first two neighbours that enclose the radius, the ends of the edge among them. */
  around(radius: number, first: number, second: number): Bracket;
}

function edgeSamples(): EdgeSamples {
  const places: number[] = [],
    found: number[] = [];
  return {
    clear: () => {
      places.length = 0;
      found.length = 0;
    },
    add: (s, reach) => {
      let at = places.length;
      while (at > 0 && places[at - 1] > s) at--;
      places.splice(at, 0, s);
      found.splice(at, 0, reach);
    },
    around: (radius, first, second) => {
      let low = 0,
        atLow = first;
      for (let i = 0; i < places.length; i++) {
        if (found[i] >= radius) return { low, atLow, high: places[i], atHigh: found[i] };
        low = places[i];
        atLow = found[i];
      }
      return { low, atLow, high: 1, atHigh: second };
    },
  };
}

/** Where in a bracket reach passes the radius, within `accuracy`. */
function crossing(
  bracket: Bracket,
  radius: number,
  accuracy: number,
  reachAt: (s: number) => number,
): number {
  const far = FAR * radius;
  let { low, high } = bracket;
  let atLow = bracket.atLow - radius,
    atHigh = Math.min(bracket.atHigh, far) - radius;
  let halve = false;
  for (let cut = 0; cut < MOST_CUTS && high - low > 2 * accuracy; cut++) {
    // An exact fit is a plateau of the very radius: where on it the end lies its height does not tell.
    const known = atLow < 0 && atHigh > PLATEAU * radius && atHigh < far - radius;
    const share = known && !halve ? atLow / (atLow - atHigh) : 0.5;
    const s = Math.min(high - accuracy, Math.max(low + accuracy, low + share * (high - low)));
    const value = Math.min(far, reachAt(s)) - radius;
    const linear = known && Math.abs(value) <= NEARLY_LINEAR * Math.min(-atLow, atHigh);
    halve = value === 0 || Math.abs(value) > 0.5 * (value < 0 ? -atLow : atHigh);
    if (value < 0) {
      low = s;
      atLow = value;
    } else {
      high = s;
      atHigh = value;
    }
    if (!linear) continue;
    const next = low + ((high - low) * atLow) / (atLow - atHigh);
    if (Math.abs(next - s) <= accuracy) return next;
  }
  return 0.5 * (low + high);
}

/** Length of the edge asked about at offset e, mm. */
export function edgeLength(edges: Float64Array, e: number): number {
  const x = edges[e + 7] - edges[e],
    y = edges[e + 8] - edges[e + 1],
    z = edges[e + 9] - edges[e + 2];
  return Math.sqrt(x * x + y * y + z * z);
}

/**
 * The point of the true surface at fraction s of the edge at offset e, with its unit normal. @param out (6)
 */
export function pointOnEdge(edges: Float64Array, e: number, s: number, out: Float64Array): void {
  const o = e + 7;
  const dx = edges[o] - edges[e],
    dy = edges[o + 1] - edges[e + 1],
    dz = edges[o + 2] - edges[e + 2];
  const mx = edges[o + 3] - edges[e + 3],
    my = edges[o + 4] - edges[e + 4],
    mz = edges[o + 5] - edges[e + 5];
  const nx = edges[e + 3] + s * mx,
    ny = edges[e + 4] + s * my,
    nz = edges[e + 5] + s * mz;
  const length = Math.sqrt(nx * nx + ny * ny + nz * nz);
  const unit = length > 0 ? 1 / length : 0;
  const inward = 4 * s * (1 - s) * chordSagitta(dx, dy, dz, mx, my, mz) * unit;
  out[0] = edges[e] + s * dx - inward * nx;
  out[1] = edges[e + 1] + s * dy - inward * ny;
  out[2] = edges[e + 2] + s * dz - inward * nz;
  out[3] = nx * unit;
  out[4] = ny * unit;
  out[5] = nz * unit;
}

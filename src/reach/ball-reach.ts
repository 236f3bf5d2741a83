import type { BallQuery } from './ball-contact.js';
import { SPHERE } from './least-on-sphere.js';

/** How exact reach must be. */
export interface GapLimits {
  /** a cutter reaches what it misses by no more than this, mm */
  readonly toleranceMm: number;
  /** the cutter may enter the part by this, mm: rounding, and what facets miss the true surface by */
  readonly slackMm: number;
}

/** A point of the true surface, mm, and its unit normal out of the part, as the first arguments of a question. */
export type AtPoint = [px: number, py: number, pz: number, nx: number, ny: number, nz: number];

export interface BallReach {
  /**
   * Largest radius of a ball-nose cutter that reaches point p of the true surface: that can stand free of the
   * part and miss p by no more than the tolerance.
   *
   * @param most the largest radius asked for, mm
   * @returns mm, within 0.01 mm + 1 %, mostly 0.2 %; Infinity if `most` reaches
   */
  radius(...args: [...AtPoint, most: number]): number;
  /**
   * Gap between p and the nearest place of a ball-nose cutter of this radius, mm; 0 where it touches.
   *
   * @param enough larger gaps need not be told exactly, mm
   * @returns mm; Infinity: above `enough`
   */
  gap(...args: [...AtPoint, radius: number, enough: number]): number;
  /**
   * Whether that gap is no more than `limit`, mm, but for rounding; much quicker than the gap, most so where points
   * beside each other are asked about one after the other. Leaves no `centre`.
   */
  isWithin(...args: [...AtPoint, radius: number, limit: number]): boolean;
  /**
   * Lowest height over a plan point that one place of a ball-nose cutter clears which touches the height z there, too.
   *
   * @returns mm; NaN: none touches z
   */
  clearedAt(x: number, y: number, z: number, radius: number): number;
  /** (3) ball centre of the last answer, from p, mm */
  readonly centre: Float64Array;
}

/** Contacts asked for, for one point. */
const MOST_CONTACTS = 120;
/** An entry this small, in tolerances, is as good as none. */
const NEARLY_FREE = 0.05;
/** A contact as deep as this share of the cutter's distance says enough: a deeper one is not looked for. */
const DEEP = 0.2;
/** Radii below this many tolerances are not told apart: a sharp corner. */
const SHARP_TOLERANCES = 2.5;
/** Contacts of the points before that are looked at first: what holds the cutter at one mostly holds it beside. */
const REMEMBERED = 64;
/** Facets that are wide enough for their planes to count are remembered, too. */
const FACETS = 12;
/** Free places of the points before that are tried first: what is near enough to one mostly is to the next. */
const STANDS = 32;
/** A radius is first looked for up to so many times the last one found. */
const GUESS = 1.3;
/** Slope of what keeps directions on one side, in units of the least bound. */
const STEEP = 1e3;
/** First step from the last gap, as a factor. */
const GAP_STEP = 1.25;
/** Share of a gap to which it is enclosed before it is interpolated, and how far radii are looked for then. */
const GAP_ACCURACY = 0.05;
const ABOUT = 1.15;
/** Radii nearer than this, mm and as a share, are one. */
const ACCURACY = 0.001;

/** Whether a ball of this radius reaches where the largest found to reach is `found`, mm, but for rounding. */
export const isReached = (radius: number, found: number): boolean => radius <= found + ACCURACY * (1 + found);

/**
 * A ball-nose cutter reaches p if some centre c has `|c - p| = R + t` and no point of the part nearer than R to
 * the half-line that rises from c (a ball that touches p closer can be raised until it misses it by t: what lies
 * above a free place is free). Seen from p along the unit vector d, c = λ d with λ = R + t, a point q of the part
 * says `|λ d - q| >= λ - t`: a bound on 1/λ from below, linear in d,
 *
 *     1/λ >= 2 (q·d - t) / (q·q - t²)
 *
 * (what the part may be entered by is added to t here). The largest radius is the least 1/λ that all of the part
 * allows over the sphere of directions. Points are asked for where the cutter would stand by those known so far,
 * until it stands free: what is known never forbids too much, so the first free place is the best there is.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the inner functions share the bounds of one point
export function ballReach(query: BallQuery, limits: GapLimits): BallReach {
  const sphere = SPHERE;
  const { direction, level } = sphere;
  const centre = new Float64Array(3),
    reached = new Float64Array(3),
    bound = new Float64Array(4),
    ball = new Float64Array(5);
  const known = new Float64Array(3 * REMEMBERED);
  /** (4 each) what they forbid; -Infinity last: nothing, or taken in */
  const knownBounds = new Float64Array(4 * REMEMBERED);
  const facets = new Int32Array(FACETS).fill(-1),
    room = new Float64Array(FACETS),
    planes = new Float64Array(4 * FACETS),
    plane = new Float64Array(4);
  let oldestFacet = 0;
  /** what the last point asked about was reached by */
  let last = Infinity;
  let lastGap = 0;
  /** centres of free balls found for one cutter, and their radii: its own, less what it may enter by */
  const stands = new Float64Array(4 * STANDS);
  let standsOf = NaN,
    standCount = 0,
    oldestStand = 0;
  let knownCount = 0,
    oldest = 0;
  let px = 0,
    py = 0,
    pz = 0,
    miss = 0;
  const slack = limits.slackMm;
  const free = NEARLY_FREE * limits.toleranceMm;

  const setBound = (ax: number, ay: number, az: number, b: number): void => {
    bound[0] = ax;
    bound[1] = ay;
    bound[2] = az;
    bound[3] = b;
  };
  /** What a point forbids; false: nothing. */
  const boundOf = (x: number, y: number, z: number): boolean => {
    const qx = x - px,
      qy = y - py,
      qz = z - pz;
    const square = qx * qx + qy * qy + qz * qz - miss * miss;
    if (!(square > 0)) return false;
    setBound((2 * qx) / square, (2 * qy) / square, (2 * qz) / square, (-2 * miss) / square);
    return true;
  };
  /** Makes the bound of a facet's plane, if it says anything while the cutter touches it inside the facet. */
  const noteFacet = (i: number): void => {
    room[i] = query.roomOver(facets[i], px, py, pz, plane);
    const reserve = miss + plane[3];
    if (!(reserve > 0.5 * miss)) room[i] = 0;
    if (room[i] === 0) return;
    planes[4 * i] = -plane[0] / reserve;
    planes[4 * i + 1] = -plane[1] / reserve;
    planes[4 * i + 2] = -plane[2] / reserve;
    planes[4 * i + 3] = 1 / reserve;
  };
  const rememberFacet = (leaf: number): void => {
    if (facets.includes(leaf)) return;
    facets[oldestFacet] = leaf;
    noteFacet(oldestFacet);
    oldestFacet = (oldestFacet + 1) % FACETS;
  };
  /** The same of facets over which the cutter stays wherever it goes. */
  const recallFacet = (): boolean => {
    for (let i = 0; i < FACETS; i++) {
      if (room[i] * level[0] < 1 || !sphere.isBroken(planes, 4 * i)) continue;
      room[i] = 0;
      return sphere.add(planes, 4 * i);
    }
    return false;
  };
  const remember = (x: number, y: number, z: number): void => {
    known[3 * oldest] = x;
    known[3 * oldest + 1] = y;
    known[3 * oldest + 2] = z;
    knownBounds[4 * oldest + 3] = -Infinity;
    oldest = (oldest + 1) % REMEMBERED;
    knownCount = Math.min(REMEMBERED, knownCount + 1);
  };
  /** Works out what points known from before forbid. */
  const recallAll = (): void => {
    for (let i = 0; i < knownCount; i++) {
      const forbids = boundOf(known[3 * i], known[3 * i + 1], known[3 * i + 2]);
      knownBounds[4 * i] = bound[0];
      knownBounds[4 * i + 1] = bound[1];
      knownBounds[4 * i + 2] = bound[2];
      knownBounds[4 * i + 3] = forbids ? bound[3] : -Infinity;
    }
  };
  /** Takes in the strongest of them that forbids the place that is the best so far; whether any did. */
  const recall = (): boolean => {
    const dx = direction[0],
      dy = direction[1],
      dz = direction[2];
    let most = level[0],
      at = -1;
    for (let o = 0; o < 4 * knownCount; o += 4) {
      const here =
        knownBounds[o] * dx + knownBounds[o + 1] * dy + knownBounds[o + 2] * dz + knownBounds[o + 3];
      if (here <= most) continue;
      most = here;
      at = o;
    }
    if (at < 0) return false;
    const broken = sphere.add(knownBounds, at);
    knownBounds[at + 3] = -Infinity;
    return broken;
  };
  /**
   * Largest radius that misses p by t; `centre` is its place.
   *
   * @param least radii below this need not be told, mm
   * @returns Infinity if `most` does
   */
  const search = (nx: number, ny: number, nz: number, t: number, most: number, least: number): number => {
    miss = t;
    const floor = 1 / (most - slack + t);
    recallAll();
    for (let i = 0; i < FACETS; i++) if (facets[i] >= 0) noteFacet(i);
    sphere.start(nx, ny, nz, floor);
    // None within reach lies behind p, and a place below p can be raised to its height.
    setBound(-STEEP * nx, -STEEP * ny, -STEEP * nz, 0);
    sphere.add(bound, 0);
    setBound(0, 0, -STEEP, 0);
    sphere.add(bound, 0);
    for (let i = 0; i < MOST_CONTACTS; i++) {
      while (1 / level[0] - t + slack > least && (recallFacet() || recall()));
      const distance = 1 / level[0];
      if (!(distance - t + slack > least)) return Math.max(0, distance - t + slack);
      for (let k = 0; k < 3; k++) centre[k] = distance * direction[k];
      ball[0] = px + centre[0];
      ball[1] = py + centre[1];
      ball[2] = pz + centre[2];
      ball[3] = distance - t;
      ball[4] = DEEP * distance;
      const contact = query.deepest(ball);
      if (contact.depth > 0) {
        remember(contact.x, contact.y, contact.z);
        rememberFacet(contact.leaf);
        if (boundOf(contact.x, contact.y, contact.z)) sphere.add(bound, 0);
      }
      // What little it is entered by is taken off, and the place is as good as free.
      if (!(contact.depth > free)) break;
    }
    return level[0] <= floor ? Infinity : 1 / level[0] - t + slack;
  };
  /** Whether a place of the ball misses p by no more than t; `centre` is one. */
  const reaches = (nx: number, ny: number, nz: number, t: number, radius: number): boolean =>
    isReached(radius, search(nx, ny, nz, t, radius, (1 - 2 * ACCURACY) * radius - ACCURACY));
  const rememberStand = (t: number): void => {
    const o = 4 * oldestStand;
    stands[o] = px + centre[0];
    stands[o + 1] = py + centre[1];
    stands[o + 2] = pz + centre[2];
    stands[o + 3] = Math.sqrt(centre[0] ** 2 + centre[1] ** 2 + centre[2] ** 2) - t;
    oldestStand = (oldestStand + 1) % STANDS;
    standCount = Math.min(STANDS, standCount + 1);
  };
  /** Whether one of the free places known does. What lies above a free place is free. */
  const recallStand = (nx: number, ny: number, nz: number, t: number): boolean => {
    for (let o = 0; o < 4 * standCount; o += 4) {
      const x = stands[o] - px,
        y = stands[o + 1] - py,
        z = Math.max(0, stands[o + 2] - pz),
        most = stands[o + 3] + t;
      if (x * x + y * y + z * z <= most * most && nx * x + ny * y + nz * z >= 0) return true;
    }
    return false;
  };
  const clearStands = (radius: number): void => {
    if (radius === standsOf) return;
    standsOf = radius;
    standCount = oldestStand = 0;
  };
  /** Lowest height over a plan point that one of the free places known clears; Infinity: none does. */
  const clearedByStands = (x: number, y: number, radius: number): number => {
    let lowest = Infinity;
    for (let o = 0; o < 4 * standCount; o += 4) {
      const below = radius * radius - (stands[o] - x) ** 2 - (stands[o + 1] - y) ** 2;
      if (below >= 0) lowest = Math.min(lowest, stands[o + 2] - Math.sqrt(below));
    }
    return lowest;
  };
  const clearedAt = (x: number, y: number, z: number, radius: number): number => {
    clearStands(radius);
    const known = clearedByStands(x, y, radius);
    if (known <= z) return known;
    px = x;
    py = y;
    pz = z;
    if (!reaches(0, 0, 1, 0, radius)) return NaN;
    rememberStand(0);
    const across = centre[0] * centre[0] + centre[1] * centre[1];
    return Math.min(z, z + centre[2] - Math.sqrt(Math.max(0, radius * radius - across)));
  };
  return {
    centre,
    clearedAt,
    radius: (x, y, z, nx, ny, nz, most) => {
      px = x;
      py = y;
      pz = z;
      const t = limits.toleranceMm,
        least = SHARP_TOLERANCES * t;
      // What reaches here is mostly not much larger than what reached beside.
      const guess = Math.max(GUESS * last, 2 * least);
      const found = guess < most ? search(nx, ny, nz, t, guess, least) : Infinity;
      last = found < Infinity ? found : search(nx, ny, nz, t, most, least);
      return last;
    },
    gap: (x, y, z, nx, ny, nz, radius, enough) => {
      px = x;
      py = y;
      pz = z;
      let low = -1,
        high = Infinity,
        t = Math.max(limits.toleranceMm, lastGap),
        step = GAP_STEP;
      // From the last gap, up or down in growing steps until two places enclose this one, then by halving.
      while (high === Infinity || high - low > Math.max(limits.toleranceMm / 8, GAP_ACCURACY * high)) {
        if (low >= enough) return Infinity;
        if (reaches(nx, ny, nz, t, radius)) {
          reached.set(centre);
          if (t === 0) {
            low = high = 0;
            break;
          }
          high = t;
        } else {
          low = t;
        }
        if (low >= 0 && high < Infinity) {
          t = 0.5 * (low + high);
          continue;
        }
        t = low >= 0 ? low * step + limits.toleranceMm : high > 2 * limits.toleranceMm ? high / step : 0;
        step *= step;
      }
      lastGap = 0.5 * (low + high);
      if (high > 0 && high < radius) {
        // The largest radius that misses p by t grows smoothly with t: between the two it is taken as straight.
        const [atLow, atHigh] = [low, high].map((t) => search(nx, ny, nz, t, ABOUT * radius, radius / ABOUT));
        if (atLow > radius / ABOUT && atLow < radius && radius < atHigh && atHigh < Infinity)
          lastGap = low + ((high - low) * (radius - atLow)) / (atHigh - atLow);
        if (isReached(radius, search(nx, ny, nz, lastGap, radius, radius / ABOUT))) reached.set(centre);
      }
      // What little the ball may enter by does not show: it touches what it touches.
      const apart = Math.sqrt(reached[0] ** 2 + reached[1] ** 2 + reached[2] ** 2);
      for (let k = 0; k < 3; k++) centre[k] = (reached[k] * (radius + lastGap)) / apart;
      return lastGap;
    },
    isWithin: (x, y, z, nx, ny, nz, radius, limit) => {
      px = x;
      py = y;
      pz = z;
      clearStands(radius);
      if (recallStand(nx, ny, nz, limit)) return true;
      if (!reaches(nx, ny, nz, limit, radius)) return false;
      rememberStand(limit);
      return true;
    },
  };
}

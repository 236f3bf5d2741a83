import { contactTip, flatRadiusMm, profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import { cutterQuery, type CutterContact } from './cutter-contact.js';
import type { AtPoint, GapLimits } from './ball-reach.js';
import { cutterStands } from './cutter-stands.js';
import { nearestPlacing, type Placing } from './nearest-placing.js';
import type { PartTree } from './part-tree.js';

/**
 * Gap between point p of the part and the nearest place that a cutter of any shape can take near p, mm.
 *
 * The cutter starts touching p along the normal and is pushed out of what it cuts: each deepest contact
 * becomes a half-space for the tip, and the cutter moves to the place in all of them from which p is least
 * far (`nearestPlacing`). A contact offers several half-spaces: one for each facet that meets there (stay on
 * this side of its plane: right in corners) and one for the contact alone (right at outer edges); they are
 * tried depth first, the one that leaves the smallest gap first. Under a flat end and along a flank many
 * places touch p; all of them are open to the search, since only p's distance counts and not which point of
 * the cutter meets it.
 *
 * Exact: corners of two or three planes, and whatever is found free. Converges: curved walls and round edges.
 * A gap is never too small; it may be too large where every way out was tried in vain within `MOST_QUERIES`.
 *
 * What stays unreached between two planes, without tolerance (the tests allow for it), a drawing for each:
 *
 *     level floor, wall of angle φ          V of two slopes                      wall steeper than the taper
 *        |      |   /                        \ |      | /                         |   \      |
 *        | c .. | _/ φ                     θ1 \|______|/ θ2                       |    \     |  δ = θ - (90° - a)
 *        |____-' /                             \  2Rm /   z = 2 Rm/(cot θ1        |δ    \    |
 *     -------------                             \____/         + cot θ2)          |      `--'
 *
 * - Floor and wall: the corner rounding alone counts, as a ball of RE would: strips RE tan(φ/2) on both. A
 *   flat cutter leaves nothing: its rim goes into the corner, and up any wall.
 * - V: the ends of the flat part sink until the V is 2 Rm wide. For RE > 0 the same holds of the V moved out
 *   by RE, whose corner lies RE tan((θ1 + θ2)/2) up each face: strips RE tan((θ1 + θ2)/2) + z / sin θ of that
 *   face. With θ2 = 90°, z = 2 Rm tan θ1: a slope beside an upright wall at its foot. With tolerance t and RE
 *   = 0 the gap is the height below z, so strips are t / sin θ shorter.
 * - Fillet ρ between floor and wall: nothing for ρ >= RE, else as a ball of RE leaves.
 * - Slot of width W: nothing below its mouth for W < DC, strips RE wide along its bottom otherwise.
 * - Tapered: a wall that leans less than the taper (δ > 0) is touched at its top edge only, or, if it is
 *   higher than the cone, at the shoulder; L below that the gap is L sin δ, along the wall. A wall with δ <=
 *   0 is as for a ball of RE.
 */
export interface CutterGap {
  /**
   * @param enough gaps need not be told apart below this, mm; by default the tolerance
   * @param most larger gaps need not be told, mm; by default what is enough
   * @returns mm; above `enough` an estimate; Infinity where no free place was found nearby
   */
  gap(...args: [...AtPoint, enough?: number, most?: number]): number;
  /**
   * Lowest height over a plan point that one place of the cutter clears which touches the height z there, too.
   *
   * @returns mm; NaN: none was found that touches z
   */
  clearedAt(x: number, y: number, z: number): number;
  /** A gap that is no smaller than that of a point, as free places found for points before tell it, mm. */
  known(x: number, y: number, z: number): number;
}

/** Contacts in one chain, and queries for one point over all chains. */
const MOST_CONTACTS = 14;
const MOST_QUERIES = 40;
/** Of those for each further start: beside p under a flat end, and without p's own plane. */
const SIDE_QUERIES = 10;
/** A cutter this near a point, in tolerances, touches it. */
const NEARLY_TOUCHING = 0.05;
/** Added to what a contact asks for, mm, so that rounding does not find it again. */
const MARGIN_MM = 1e-7;
/** Numbers per choice: unit normal, bound, gap, tip. */
const CHOICE = 8;
const MOST_CHOICES = 7;

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function cutterGap(tree: PartTree, whole: CutterProfile, limits: GapLimits): CutterGap {
  const query = cutterQuery(tree, whole);
  const slack = limits.slackMm;
  // What the cutter may enter the part by is taken off it on all sides: there it reaches nothing.
  const profile: CutterProfile = {
    ...whole,
    radiusMm: whole.radiusMm - slack,
    cornerRadiusMm: Math.max(0, whole.cornerRadiusMm - slack),
  };
  const levels: Placing[] = Array.from({ length: MOST_CONTACTS + 1 }, () => nearestPlacing(profile));
  const trial = nearestPlacing(profile);
  const stands = cutterStands(profile);
  const choices = Array.from({ length: MOST_CONTACTS + 1 }, () => new Float64Array(CHOICE * MOST_CHOICES));
  const tip = new Float64Array(3),
    own = new Float64Array(3),
    plane = new Float64Array(4);
  const cosine = Math.cos(profile.taperHalfAngleRad),
    sine = Math.sin(profile.taperHalfAngleRad);
  const flat = flatRadiusMm(profile);
  let px = 0,
    py = 0,
    pz = 0,
    queries = 0,
    isOwn = false,
    best = Infinity,
    enough = 0,
    hopeless = 0;
  const bestTip = new Float64Array(3);
  // Where the first contact lay, in plan, seen from p.
  let awayX = 0,
    awayY = 0;

  /** Takes in a half-space that the last contact offers at `at`, with the place it would leave. @returns choices */
  const offer = (
    at: Placing,
    out: Float64Array,
    count: number,
    mx: number,
    my: number,
    mz: number,
    push: number,
  ): number => {
    for (let o = 0; o < CHOICE * count; o += CHOICE) {
      if (Math.abs(out[o] - mx) + Math.abs(out[o + 1] - my) + Math.abs(out[o + 2] - mz) < 1e-6) return count;
    }
    if (count === MOST_CHOICES || !(push < Infinity)) return count;
    const { tip } = at,
      o = CHOICE * count;
    out[o] = mx;
    out[o + 1] = my;
    out[o + 2] = mz;
    out[o + 3] = mx * tip[0] + my * tip[1] + mz * tip[2] + push + MARGIN_MM;
    trial.copy(at);
    trial.add(mx, my, mz, out[o + 3]);
    out[o + 4] = trial.solve(enough, hopeless);
    for (let k = 0; k < 3; k++) out[o + 5 + k] = trial.tip[k];
    return count + 1;
  };
  /** Half-spaces that the last contact offers at `at`. */
  const gather = (at: Placing, out: Float64Array, contact: CutterContact): number => {
    let count = offer(at, out, 0, contact.mx, contact.my, contact.mz, contact.push);
    for (let i = 0; i < contact.facets; i++) {
      if (query.plane(i, plane)) count = offer(at, out, count, plane[0], plane[1], plane[2], plane[3]);
    }
    return count;
  };

  /** Depth-first search from `levels[depth]`; returns whether a place within the tolerance is free. */
  const search = (depth: number): boolean => {
    const at = levels[depth];
    if (queries++ >= MOST_QUERIES) return false;
    const contact = query.deepest(px + at.tip[0], py + at.tip[1], pz + at.tip[2] - slack, slack);
    if (contact.depth <= 0) {
      if (at.gap < best) {
        best = at.gap;
        bestTip.set(at.tip);
      }
      return best <= enough;
    }
    if (queries === 1) {
      // The very first one: later starts count from higher up.
      awayX = px - contact.x;
      awayY = py - contact.y;
    }
    if (depth === MOST_CONTACTS) return false;
    const out = choices[depth];
    const count = gather(at, out, contact);
    for (let done = 0; done < count; done++) {
      let c = 0;
      for (let i = 1; i < count; i++) if (out[CHOICE * i + 4] < out[CHOICE * c + 4]) c = i;
      const o = CHOICE * c;
      const gap = out[o + 4];
      out[o + 4] = Infinity;
      if (gap === Infinity) break;
      if (gap > hopeless) {
        best = Math.min(best, gap);
        break;
      }
      const next = levels[depth + 1];
      next.copy(at);
      next.add(out[o], out[o + 1], out[o + 2], out[o + 3]);
      next.place(out, o + 5, gap);
      if (search(depth + 1)) return true;
    }
    return false;
  };
  /** Searches from the cutter with its tip there, relative to p. */
  const startAt = (x: number, y: number, z: number): boolean => {
    levels[0].start(x, y, z);
    if (isOwn) levels[0].add(own[0], own[1], own[2], own[0] * x + own[1] * y + own[2] * z);
    return search(0);
  };

  const find = (
    x: number,
    y: number,
    z: number,
    n0: number,
    n1: number,
    n2: number,
    isOnPart: boolean,
  ): number => {
    px = x;
    py = y;
    pz = z;
    queries = 0;
    best = Infinity;
    awayX = 0;
    awayY = 0;
    const across = Math.sqrt(n0 * n0 + n1 * n1);
    // Up to half a degree of overhang counts as upright.
    const leaning = n2 < 0 && across > 0;
    const nx = leaning ? n0 / across : n0,
      ny = leaning ? n1 / across : n1,
      nz = leaning ? 0 : n2;
    const steep = sine > 0 && across > cosine * (1 + 1e-9);
    contactTip(profile, nx, ny, nz, tip);
    own.set([nx, ny, nz]);
    isOwn = isOnPart && !steep;
    if (startAt(tip[0], tip[1], tip[2])) return best;
    if (steep) {
      // Too steep for the cone, which may still lean over the wall's top edge: start with its lower end at p.
      const low = (profile.cornerRadiusMm * cosine) / across;
      queries = 0;
      startAt(low * nx, low * ny, -profile.cornerRadiusMm * (1 - sine));
      return best;
    }
    const away = Math.sqrt(awayX * awayX + awayY * awayY);
    if (flat > 0 && 2 * flat * across <= enough && away > 0) {
      const ax = (flat * awayX) / away,
        ay = (flat * awayY) / away;
      for (let side = 0; side < 4; side++) {
        queries = MOST_QUERIES - SIDE_QUERIES;
        const [sx, sy] = side === 0 ? [ax, ay] : side === 1 ? [-ay, ax] : side === 2 ? [ay, -ax] : [-ax, -ay];
        if (startAt(sx, sy, 0)) return best;
      }
    }
    if (isOwn) {
      // Beside an outer edge the cutter may lean over p's plane.
      isOwn = false;
      queries = MOST_QUERIES - SIDE_QUERIES;
      startAt(tip[0], tip[1], tip[2]);
    }
    return best;
  };
  /** As `find`; what is near enough is remembered. */
  const findStand = (...at: Parameters<typeof find>): number => {
    const gap = find(...at);
    if (gap <= enough) stands.add(px + bestTip[0], py + bestTip[1], pz + bestTip[2]);
    return gap;
  };
  return {
    known: stands.gap,
    gap: (x, y, z, nx, ny, nz, least = limits.toleranceMm, most = least) => {
      const known = stands.gap(x, y, z);
      if (known <= least) return known;
      enough = least;
      hopeless = most;
      return findStand(x, y, z, nx, ny, nz, true);
    },
    clearedAt: (x, y, z) => {
      const known = stands.clearedAt(x, y);
      if (known <= z) return known;
      enough = NEARLY_TOUCHING * limits.toleranceMm;
      hopeless = enough;
      if (findStand(x, y, z, 0, 0, 1, false) > enough) return NaN;
      const across = Math.sqrt(bestTip[0] ** 2 + bestTip[1] ** 2);
      return Math.min(z, z + bestTip[2] + profileHeight(profile, across));
    },
  };
}

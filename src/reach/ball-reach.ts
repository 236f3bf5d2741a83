import type { BallContact, BallQuery } from './ball-contact.js';
import type { BallGap, GapLimits } from './ball-gap.js';
import { contactBounds } from './contact-bounds.js';
import { jointContacts } from './joint-contacts.js';

export interface BallReach {
  /**
   * Largest radius of a ball-nose cutter that reaches point p of the true surface: whose gap there is within
   * the tolerance.
   *
   * Shrinks: every point of the part that the cutter enters bounds the radius from above, by the largest
   * cutter that still misses it when it leaves p by the whole tolerance. The deepest entry of one radius
   * gives the next, and where the cutter of a bound is free, the bound is the answer. Where one contact
   * pushes the cutter into another, as in a valley, all contacts found so far are solved for together.
   *
   * @param n unit normal at p, out of the part
   * @param most the largest radius asked for, mm
   * @param offSurface how far p may stand off the true surface, mm, >= 0; the ball may enter by as much more
   * @returns mm, within 0.01 mm + 1 %, mostly 0.4 %, a place that the cutter enters by 3 % of the tolerance
   *   being as good as free; Infinity if `most` reaches
   */
  radius(
    px: number,
    py: number,
    pz: number,
    nx: number,
    ny: number,
    nz: number,
    most: number,
    offSurface: number,
  ): number;
}

/** A bound that falls by less than this share settles nothing: two contacts push against each other. */
const STALL = 0.002;
const MOST_SHRINKS = 12;
const MOST_JOINT = 24;
const MOST_RAISES = 6;
const MOST_STALLS = 3;
/** An entry this small, in tolerances, is as good as none. */
const NEARLY_FREE = 0.03;
/** Radii below this many tolerances are not told apart: a sharp corner. */
const SHARP_TOLERANCES = 2.5;
/** Contacts of the point before that are looked at first, and how often. */
const REMEMBERED = 4;
const MOST_RECALLS = 3;

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function ballReach(query: BallQuery, gaps: BallGap, limits: GapLimits): BallReach {
  const t = limits.toleranceMm;
  const free = NEARLY_FREE * t,
    sharp = SHARP_TOLERANCES * t;
  const bounds = contactBounds(t);
  const joint = jointContacts(t);
  const remembered = new Int32Array(REMEMBERED).fill(-1);
  let px = 0,
    py = 0,
    pz = 0,
    nx = 0,
    ny = 0,
    nz = 0,
    slack = 0;
  /**
   * whether a contact looked at last holds the cutter where it is; else planes of facets that end before do
   */
  let isHeld = false;

  const deepest = (r: number, cx: number, cy: number, cz: number): BallContact =>
    query.deepest(px + cx, py + cy, pz + cz, r, slack);
  const deepestAt = (r: number, centre: Float64Array): BallContact =>
    deepest(r, centre[0], centre[1], centre[2]);
  /** What two radii may differ by and still be the same. */
  const accuracy = (r: number): number => 0.002 + 0.002 * r;
  const note = (contact: BallContact): void => {
    joint.add(contact, px, py, pz);
    if (remembered.includes(contact.leaf)) return;
    remembered.copyWithin(1, 0);
    remembered[0] = contact.leaf;
  };

  /**
   * Largest radius that the contacts of the point before allow here: a point's neighbours mostly hold it
   * back, too.
   */
  const recall = (most: number): number => {
    let r = most,
      cx = r * nx,
      cy = r * ny,
      cz = r * nz;
    for (let i = 0; i < MOST_RECALLS; i++) {
      let deep = false;
      isHeld = false;
      joint.start(nx, ny, nz);
      for (let k = 0; k < REMEMBERED; k++) {
        if (remembered[k] < 0) continue;
        const contact = query.entry(remembered[k], px + cx, py + cy, pz + cz, r, slack);
        if (contact.depth > free) deep = true;
        if (contact.depth > -free) isHeld = true;
        if (contact.depth > -r) joint.add(contact, px, py, pz);
      }
      if (!deep) return r;
      const next = joint.radius(r);
      const done = next > r - accuracy(r);
      r = next;
      if (r < sharp) return most;
      cx = joint.centre[0];
      cy = joint.centre[1];
      cz = joint.centre[2];
      if (done) break;
    }
    return r;
  };

  const radius = (most: number): number => {
    let r = recall(most),
      low = 0;
    let contact: BallContact;
    if (r < most) {
      contact = deepestAt(r, joint.centre);
      if (contact.depth > free) note(contact);
      else if (isHeld && !joint.doubt()) return raise(r, most);
      else {
        low = r;
        r = most;
      }
    } else {
      contact = deepest(r, r * nx, r * ny, r * nz);
      if (contact.depth <= 0) return Infinity;
      joint.start(nx, ny, nz);
      note(contact);
      for (let i = 0; i < MOST_SHRINKS; i++) {
        const bound = bounds.radius(contact, px, py, pz, nx, ny, nz, r);
        if (!(bound < r * (1 - STALL))) break;
        r = bound;
        contact = deepestAt(r, bounds.centre);
        if (contact.depth <= free || r < sharp) return r;
        note(contact);
      }
      // Normals of coarse facets are not exact: backing off along them by the whole tolerance is a place of
      // its own.
      const away = r + t;
      if (deepest(r, away * nx, away * ny, away * nz).depth <= free) return r === most ? Infinity : r;
    }
    return raise(settle(r, low, most), most);
  };

  /**
   * What is solved for a contact on an edge or corner as seen from one place allows too little at another, so
   * the answer is looked for again from where it lies, until that helps no more.
   */
  const raise = (from: number, most: number): number => {
    let r = from,
      limit = most;
    for (let i = 0; i < MOST_RAISES && r >= sharp && r < most; i++) {
      const more = r + accuracy(r),
        up = joint.larger(more, limit);
      if (up <= more) return r;
      const contact = deepestAt(up, joint.centre);
      if (contact.depth > free) {
        note(contact);
        limit = up;
      } else {
        r = up === most ? Infinity : up;
      }
    }
    return r;
  };

  /** @param known reaches @param most not to be exceeded */
  const settle = (from: number, known: number, most: number): number => {
    let r = from,
      low = known,
      before = Infinity,
      stalls = 0;
    for (let i = 0; i < MOST_JOINT; i++) {
      r = joint.radius(r);
      if (r >= low + accuracy(low) && r >= sharp) {
        const contact = deepestAt(r, joint.centre);
        if (contact.depth > free) {
          note(contact);
          // The place may change although the radius does not; but on a fillet it changes without end.
          stalls = before - r < accuracy(r) ? stalls + 1 : 0;
          before = r;
          if (stalls < MOST_STALLS) continue;
          if (r === most) break;
        } else {
          low = r;
        }
      }
      if (r === most) return Infinity;
      if (!joint.doubt()) return Math.max(low, r);
      r = most;
      before = Infinity;
    }
    return halve(low, most);
  };

  /** Where contacts change without end. */
  const halve = (from: number, to: number): number => {
    let low = from,
      high = to;
    while (high - low > 0.008 + 0.008 * low) {
      const mid = 0.5 * (low + high);
      if (gaps.gap(px, py, pz, nx, ny, nz, mid, true, slack - limits.slackMm) <= t) low = mid;
      else high = mid;
    }
    return 0.5 * (low + high);
  };

  return {
    radius: (x, y, z, mx, my, mz, most, offSurface) => {
      px = x;
      py = y;
      pz = z;
      nx = mx;
      ny = my;
      nz = mz;
      slack = limits.slackMm + offSurface;
      return radius(most);
    },
  };
}

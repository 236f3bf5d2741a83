import type { BallContact } from './ball-contact.js';
import { halfSpaces } from './nearest-in-halfspaces.js';

/** The contacts of one ball with the part, taken together. */
export interface JointContacts {
  /** @param n the tangent plane's, which the ball stays outside of */
  start(nx: number, ny: number, nz: number): void;
  add(contact: BallContact, px: number, py: number, pz: number): void;
  /** Largest radius up to `most` that leaves p by no more than the tolerance and clears all contacts. */
  radius(most: number): number;
  /**
   * The same, contacts on edges and corners seen from the last centre instead of along the normal, from where
   * they forbid more than they must. @param least what is known to do
   * @returns `least` where not even a little more does
   */
  larger(least: number, most: number): number;
  /**
   * Whether the last radius was held back by a plane that the cutter touches elsewhere than where it was
   * found: the facet may end before. Such planes give way to their contact's point.
   */
  doubt(): boolean;
  /** (3) ball centre of the last radius, from p */
  readonly centre: Float64Array;
}

const CONTACTS = 7;
/**
 * Numbers per contact: its place from p, what is allowed there, unit normal of a plane or zeros, 1 on the
 * shaft.
 */
const CONTACT = 8;
const RADIUS_SHARE = 5e-4;
/**
 * Steps in which what the planes say of the answer is tried; where they change from step to step it may not
 * settle.
 */
const MOST_TOLD = 8;
/** Shares of the radius: how near a plane counts as touched, and how far from its contact it may be. */
const TOUCHING = 2e-3;
const MOVED = 0.02;

/**
 * The contacts found so far. One inside a facet forbids all that is behind the facet's plane, as long as p is
 * not; one on an edge or corner forbids a ball about it, of which the half-space facing the centre is taken,
 * twice over.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function jointContacts(t: number): JointContacts {
  const spaces = halfSpaces();
  const list = new Float64Array(CONTACT * CONTACTS);
  const centre = new Float64Array(3),
    own = new Float64Array(3),
    view = new Float64Array(3);
  let count = 0,
    next = 0,
    pointed = 0,
    last = 0;

  /** Solves for radius r, contacts on edges and corners seen from c; whether there is a place. */
  const gather = (r: number, cx: number, cy: number, cz: number): boolean => {
    spaces.clear();
    spaces.add(own[0], own[1], own[2], r);
    for (let i = 0, o = 0; i < count; i++, o += CONTACT) {
      let mx = list[o + 4],
        my = list[o + 5],
        mz = list[o + 6];
      if (mx === 0 && my === 0 && mz === 0) {
        mx = cx - list[o];
        my = cy - list[o + 1];
        mz = list[o + 7] === 1 && list[o + 2] > cz ? 0 : cz - list[o + 2];
        const size = Math.sqrt(mx * mx + my * my + mz * mz);
        if (!(size > 1e-9)) return false;
        mx /= size;
        my /= size;
        mz /= size;
      }
      spaces.add(mx, my, mz, r - list[o + 3] + mx * list[o] + my * list[o + 1] + mz * list[o + 2]);
    }
    return spaces.solve();
  };
  /** How far the gap of radius r exceeds the tolerance, as a length in the face; Infinity: no place. */
  const excess = (r: number): number => {
    if (!gather(r, r * view[0], r * view[1], r * view[2])) return Infinity;
    if (pointed > 0 && !gather(r, spaces.point[0], spaces.point[1], spaces.point[2])) return Infinity;
    const x = spaces.point[0],
      y = spaces.point[1],
      z = spaces.point[2];
    const gap = Math.max(0, Math.sqrt(x * x + y * y + z * z) - r);
    return Math.sqrt(gap * gap + 2 * r * gap) - Math.sqrt(t * t + 2 * r * t);
  };

  const radius = (most: number): number => {
    let low = 0,
      high = most,
      atLow = -t,
      atHigh = excess(most),
      side = 0;
    if (atHigh <= 0) {
      keep(most);
      return most;
    }
    // Where the same planes hold the ball at the answer, that is where they say.
    let told = spaces.radiusAt(most, t);
    for (let i = 0; i < 40 && high - low > RADIUS_SHARE * high; i++) {
      const edge = 0.4 * RADIUS_SHARE * high;
      const guess =
        i < MOST_TOLD && told > low && told < high
          ? told - edge
          : atHigh < Infinity && i < 20
            ? low + ((high - low) * atLow) / (atLow - atHigh)
            : 0.5 * (low + high);
      const r = Math.min(high - edge, Math.max(low + edge, guess));
      const value = excess(r);
      told = value < Infinity ? spaces.radiusAt(r, t) : NaN;
      if (value > 0) {
        if (side === 1) atLow *= 0.5;
        side = 1;
        high = r;
        atHigh = value;
      } else {
        if (side === -1) atHigh *= 0.5;
        side = -1;
        low = r;
        atLow = value;
        keep(r);
        if (Math.abs(told - r) < RADIUS_SHARE * r) break;
      }
    }
    return low;
  };
  const larger = (least: number, most: number): number => {
    if (pointed === 0) return least;
    for (let i = 0; i < 3; i++) view[i] = centre[i] / last;
    return excess(least) > 0 ? least : radius(most);
  };
  const keep = (r: number): void => {
    last = r;
    // No place may be nearer than where the cutter touches p.
    const x = spaces.point[0],
      y = spaces.point[1],
      z = spaces.point[2];
    const size = Math.sqrt(x * x + y * y + z * z);
    for (let i = 0; i < 3; i++) centre[i] = size === 0 ? r * own[i] : spaces.point[i] * Math.max(1, r / size);
  };

  const doubt = (): boolean => {
    const x = centre[0],
      y = centre[1],
      z = centre[2];
    let any = false;
    for (let i = 0, o = 0; i < count; i++, o += CONTACT) {
      const mx = list[o + 4],
        my = list[o + 5],
        mz = list[o + 6];
      if (mx === 0 && my === 0 && mz === 0) continue;
      const dx = x - list[o],
        dy = y - list[o + 1],
        dz = z - list[o + 2];
      const off = mx * dx + my * dy + mz * dz;
      if (off > (1 + TOUCHING) * (last - list[o + 3])) continue;
      const along = dx * dx + dy * dy + (list[o + 7] === 1 && dz < 0 ? 0 : dz * dz) - off * off;
      if (along < MOVED * MOVED * last * last) continue;
      list[o + 4] = 0;
      list[o + 5] = 0;
      list[o + 6] = 0;
      pointed++;
      any = true;
    }
    return any;
  };

  return {
    centre,
    doubt,
    larger,
    radius: (most) => {
      view.set(own);
      return radius(most);
    },
    start: (nx, ny, nz) => {
      own[0] = nx;
      own[1] = ny;
      own[2] = nz;
      count = 0;
      next = 0;
      pointed = 0;
    },
    add: (contact, px, py, pz) => {
      const { mx, my, mz, allowed, onShaft } = contact;
      const o = CONTACT * (count < CONTACTS ? count++ : next++ % CONTACTS);
      const qx = contact.x - px,
        qy = contact.y - py,
        qz = contact.z - pz;
      const plane = contact.planar && mx * qx + my * qy + mz * qz <= t;
      list[o] = qx;
      list[o + 1] = qy;
      list[o + 2] = qz;
      list[o + 3] = allowed;
      list[o + 4] = plane ? mx : 0;
      list[o + 5] = plane ? my : 0;
      list[o + 6] = plane ? mz : 0;
      list[o + 7] = onShaft ? 1 : 0;
      if (!plane) pointed++;
    },
  };
}

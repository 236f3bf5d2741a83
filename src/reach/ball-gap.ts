import type { BallContact, BallQuery } from './ball-contact.js';
import { halfSpaces } from './nearest-in-halfspaces.js';

/** How exact a gap must be. */
export interface GapLimits {
  /** a cutter reaches what it misses by no more than this, mm */
  readonly toleranceMm: number;
  /** the cutter may enter the part by this and by a facet's sagitta, mm: rounding and tessellation */
  readonly slackMm: number;
}

export interface BallGap {
  /**
   * Gap between point p of the part and the nearest place that a ball-nose cutter can take near its tangent
   * position, mm.
   *
   * The ball starts touching p along the normal, `p + R n`, and is pushed out of what it cuts: each deepest
   * contact becomes a half-space for the centre, and the centre moves to the point of all of them nearest to
   * p. In corners of two or three faces that is exact after as many contacts; on curved walls it converges.
   *
   * @param n unit normal at p, out of the part
   * @param ownPlane p lies inside a face with this normal, not on an edge where the ball may lean to either
   *   side
   * @param offSurface how far p may stand off the true surface, mm, >= 0; the ball may enter by as much more
   * @returns mm, 0 if the tangent position is free; above the tolerance it may be a lower bound;
   *   Infinity where no free place was found nearby (a slot too narrow)
   */
  gap(
    px: number,
    py: number,
    pz: number,
    nx: number,
    ny: number,
    nz: number,
    radius: number,
    ownPlane: boolean,
    offSurface: number,
  ): number;
  /** (3) ball centre of the last gap that was not Infinity, mm */
  readonly centre: Float64Array;
}

const MOST_CONTACTS = 10;
/**
 * Numbers per contact that is kept: place from p, how far the centre must stay away, normal of a plane or
 * zeros.
 */
const CONTACT = 7;
const MOST_LOOKS_BACK = 8;
/**
 * On a hollow of many small facets each contact gives way to the next one, deeper than the cutter by less and
 * less: from this many on an entry of so many times the slack is as good as none.
 */
const PATIENCE = 3,
  NEARLY_FREE = 3;
/**
 * A half-space forbids more than the contact behind it does: a ball may roll round an edge. Within the
 * tolerance of p it can gain no more than about the tolerance so; a gap this many times larger will not come
 * back.
 */
const BEYOND_DOUBT = 4;
/** Keeps a solution on the free side of the contact that it touches. */
const BEYOND_ROUNDING_MM = 1e-7;
/** Places kept of those found free. On a fillet or in a round corner of the cutter's radius they coincide. */
const FREE_PLACES = 1 << 12;

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function ballGap(query: BallQuery, limits: GapLimits): BallGap {
  const spaces = halfSpaces();
  const centre = new Float64Array(3),
    met = new Float64Array(CONTACT * MOST_CONTACTS);
  let count = 0;
  const free = freePlaces(limits.slackMm / 4),
    nearlyFree = NEARLY_FREE * limits.slackMm;

  const settle = (x: number, y: number, z: number, gap: number): number => {
    centre[0] = x;
    centre[1] = y;
    centre[2] = z;
    return gap;
  };

  /** Adds the half-space that keeps a ball centre, counted from p, out of its deepest contact. */
  const avoid = (contact: BallContact, px: number, py: number, pz: number, radius: number): void => {
    const { mx, my, mz, allowed } = contact;
    const x = contact.x - px,
      y = contact.y - py,
      z = contact.z - pz;
    spaces.add(mx, my, mz, radius - allowed + mx * x + my * y + mz * z + BEYOND_ROUNDING_MM);
    const o = CONTACT * count++;
    met[o] = x;
    met[o + 1] = y;
    met[o + 2] = z;
    met[o + 3] = radius - allowed;
    met[o + 4] = contact.planar ? mx : 0;
    met[o + 5] = contact.planar ? my : 0;
    met[o + 6] = contact.planar ? mz : 0;
  };

  /**
   * A nearer free place than c, which is free: a contact on an edge or corner was seen from where the ball
   * was when it met it, and allows more as seen from where it ends up. All are from p. @returns the gap there
   */
  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one search; its state stays locals, which no call per facet could hand over.
  const nearer = (
    px: number,
    py: number,
    pz: number,
    nx: number,
    ny: number,
    nz: number,
    radius: number,
    slack: number,
    ownPlane: boolean,
    x: number,
    y: number,
    z: number,
  ): number => {
    let cx = x,
      cy = y,
      cz = z,
      gap = Math.max(0, Math.sqrt(x * x + y * y + z * z) - radius);
    for (let i = 0; i < MOST_LOOKS_BACK; i++) {
      spaces.clear();
      if (ownPlane) spaces.add(nx, ny, nz, radius - slack);
      for (let k = 0, o = 0; k < count; k++, o += CONTACT) {
        let mx = met[o + 4],
          my = met[o + 5],
          mz = met[o + 6];
        if (mx === 0 && my === 0 && mz === 0) {
          mx = cx - met[o];
          my = cy - met[o + 1];
          mz = Math.max(0, cz - met[o + 2]);
          const size = Math.sqrt(mx * mx + my * my + mz * mz);
          mx /= size;
          my /= size;
          mz /= size;
        }
        spaces.add(
          mx,
          my,
          mz,
          met[o + 3] + mx * met[o] + my * met[o + 1] + mz * met[o + 2] + BEYOND_ROUNDING_MM,
        );
      }
      if (!spaces.solve()) break;
      const ax = spaces.point[0],
        ay = spaces.point[1],
        az = spaces.point[2];
      const less = Math.max(0, Math.sqrt(ax * ax + ay * ay + az * az) - radius);
      if (!(less < gap - slack)) break;
      const contact = query.deepest(px + ax, py + ay, pz + az, radius, slack);
      if (contact.depth > nearlyFree) {
        if (count === MOST_CONTACTS || !(contact.distance > 1e-9)) break;
        avoid(contact, px, py, pz, radius);
        continue;
      }
      cx = ax;
      cy = ay;
      cz = az;
      gap = less;
    }
    return settle(px + cx, py + cy, pz + cz, gap);
  };

  const gap = (
    px: number,
    py: number,
    pz: number,
    nx: number,
    ny: number,
    nz: number,
    radius: number,
    ownPlane: boolean,
    offSurface: number,
  ): number => {
    const slack = limits.slackMm + offSurface;
    let x = px + radius * nx,
      y = py + radius * ny,
      z = pz + radius * nz;
    if (free.has(x, y, z, radius, slack)) return settle(x, y, z, 0);
    let contact = query.deepest(x, y, z, radius, slack);
    if (contact.depth <= 0) {
      free.add(x, y, z, radius, slack);
      return settle(x, y, z, 0);
    }
    const isDeep = contact.depth > limits.toleranceMm;
    let beyond = Infinity;
    count = 0;
    spaces.clear();
    if (ownPlane) spaces.add(nx, ny, nz, radius - slack);
    for (let i = 0; i < MOST_CONTACTS && contact.distance > 1e-9; i++) {
      avoid(contact, px, py, pz, radius);
      if (!spaces.solve()) break;
      const cx = spaces.point[0],
        cy = spaces.point[1],
        cz = spaces.point[2];
      x = px + cx;
      y = py + cy;
      z = pz + cz;
      const current = Math.max(0, Math.sqrt(cx * cx + cy * cy + cz * cz) - radius);
      if (i > 0 && current > BEYOND_DOUBT * limits.toleranceMm) {
        if (isDeep) return settle(x, y, z, current);
        beyond = current;
        break;
      }
      contact = query.deepest(x, y, z, radius, slack);
      if (contact.depth <= 0) return nearer(px, py, pz, nx, ny, nz, radius, slack, ownPlane, cx, cy, cz);
      if (i >= PATIENCE && contact.depth <= nearlyFree) return settle(x, y, z, current + contact.depth);
    }
    // On a crest of many small facets, or in a round corner that fits but for its chords, the contacts change
    // without end, though any of them asks for next to nothing: backing off by the whole tolerance tells.
    const cx = x,
      cy = y,
      cz = z;
    const away = radius + limits.toleranceMm;
    x = px + away * nx;
    y = py + away * ny;
    z = pz + away * nz;
    if (query.deepest(x, y, z, radius, slack, 0).depth <= 0) return settle(x, y, z, limits.toleranceMm);
    return beyond < Infinity ? settle(cx, cy, cz, beyond) : Infinity;
  };
  return { gap, centre };
}

/**
 * Remembers free places in a table of one entry per slot. Where a ball fits a round corner exactly, all the
 * corner's facets are near contact and each query visits every one; but all its points ask for the same
 * place.
 *
 * @param same places nearer than this are one, mm
 */
function freePlaces(same: number): {
  has(x: number, y: number, z: number, radius: number, slack: number): boolean;
  add(x: number, y: number, z: number, radius: number, slack: number): void;
} {
  const places = new Float64Array(5 * FREE_PLACES).fill(NaN);
  const slotOf = (x: number, y: number, z: number): number => {
    const i = Math.round(x / (8 * same)),
      j = Math.round(y / (8 * same)),
      k = Math.round(z / (8 * same));
    return (
      5 * ((Math.imul(i, 73856093) ^ Math.imul(j, 19349663) ^ Math.imul(k, 83492791)) & (FREE_PLACES - 1))
    );
  };
  return {
    has: (x, y, z, radius, slack) => {
      const s = slotOf(x, y, z);
      return (
        places[s + 3] === radius &&
        places[s + 4] <= slack &&
        Math.abs(places[s] - x) <= same &&
        Math.abs(places[s + 1] - y) <= same &&
        Math.abs(places[s + 2] - z) <= same
      );
    },
    add: (x, y, z, radius, slack) => {
      const s = slotOf(x, y, z);
      places[s] = x;
      places[s + 1] = y;
      places[s + 2] = z;
      places[s + 3] = radius;
      places[s + 4] = slack;
    },
  };
}

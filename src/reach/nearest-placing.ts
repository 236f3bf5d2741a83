import { flatRadiusMm, type CutterProfile } from '../cutter/cutter-profile.js';
import { cutterCore } from './cutter-core.js';
import { halfSpaces, type HalfSpaces } from './nearest-in-halfspaces.js';

/** A cutter placed relative to a point, within half-spaces for its tip. */
export interface Placing {
  /** (3) tip minus point, mm */
  readonly tip: Float64Array;
  /** distance from the point to the cutter so placed, mm; 0 inside it */
  readonly gap: number;
  /** Places it and forgets all half-spaces. */
  start(x: number, y: number, z: number): void;
  /** Half-space `m · tip >= b`. @param m unit */
  add(mx: number, my: number, mz: number, b: number): void;
  copy(other: Placing): void;
  /** Places it where it was found to be best before. @param tip at offset o */
  place(tip: Float64Array, o: number, gap: number): void;
  /**
   * Moves the tip to where the gap is least. Where many places are as good, not far from where it is.
   *
   * @param enough mm: a gap well below this needs no further work
   * @param hopeless mm: nor does one that is surely larger than this
   * @returns the gap, or where it is hopeless a lower bound; Infinity if no place is in all half-spaces, or
   *   none but by rounding
   */
  solve(enough: number, hopeless: number): number;
  readonly spaces: HalfSpaces;
}

const STEPS = 60;
const STILL_MM = 1e-8;
/** A gap is known well enough once it is to this share of what is enough. */
const ACCURACY = 1e-3;

/**
 * The least gap is the least distance between two convex sets, the half-spaces' and the cutter's core mirrored about
 * the point (`cutterCore`), found by projecting onto one and the other in turn (Cheney and Goldstein 1959, doi
 * 10.1090/S0002-9939-1959-0105008-8), with Nesterov's momentum, restarted when it overshoots.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function nearestPlacing(profile: CutterProfile): Placing {
  const flat = flatRadiusMm(profile),
    corner = profile.cornerRadiusMm;
  const sinA = Math.sin(profile.taperHalfAngleRad),
    cosA = Math.cos(profile.taperHalfAngleRad);
  const { distance: toCore, point: core } = cutterCore(profile);
  const spaces = halfSpaces();
  const tip = spaces.point;
  const now = { gap: 0.5 };

  const measure = (): number => {
    const distance = toCore(tip[0], tip[1], tip[2]);
    now.gap = Math.max(0, distance - corner);
    return distance;
  };

  /**
   * No tip in the half-spaces brings the cutter nearer than this to the point, mm: what lies between the
   * plane through the last projection, of (fromX, fromY, fromZ), and the core's parallel one, less RE.
   */
  const lowerBound = (fromX: number, fromY: number, fromZ: number): number => {
    const x = tip[0] - fromX,
      y = tip[1] - fromY,
      z = tip[2] - fromZ;
    const across = Math.sqrt(x * x + y * y),
      length = Math.sqrt(x * x + y * y + z * z);
    if (length === 0 || z < 0 || across * sinA > z * cosA) return 0;
    return (x * tip[0] + y * tip[1] + z * tip[2] + corner * z - flat * across) / length - corner;
  };
  const giveUp = (gap: number): number => {
    now.gap = gap;
    return gap;
  };

  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one descent, whose step and bounds are locals.
  const solve = (enough: number, hopeless: number): number => {
    if (!spaces.solve(tip[0], tip[1], tip[2])) return giveUp(Infinity);
    let distance = measure(),
      momentum = 1,
      least = 0;
    let oldX = tip[0],
      oldY = tip[1],
      oldZ = tip[2],
      atX = oldX,
      atY = oldY,
      atZ = oldZ;
    for (let step = 0; step < STEPS && now.gap > 0.25 * enough; step++) {
      toCore(atX, atY, atZ);
      // The core's nearest point is to come to the point itself.
      const fromX = -core[0],
        fromY = -core[1],
        fromZ = -core[2];
      if (!spaces.solve(fromX, fromY, fromZ)) return giveUp(Infinity);
      least = Math.max(least, lowerBound(fromX, fromY, fromZ));
      if (least > hopeless) return giveUp(least);
      const before = distance;
      distance = measure();
      const mx = tip[0] - oldX,
        my = tip[1] - oldY,
        mz = tip[2] - oldZ;
      if (distance > before) {
        tip[0] = oldX;
        tip[1] = oldY;
        tip[2] = oldZ;
        distance = measure();
        if (momentum === 1) break;
        momentum = 1;
        atX = oldX;
        atY = oldY;
        atZ = oldZ;
        continue;
      }
      oldX = tip[0];
      oldY = tip[1];
      oldZ = tip[2];
      if (now.gap - least <= ACCURACY * enough || Math.abs(mx) + Math.abs(my) + Math.abs(mz) < STILL_MM)
        break;
      const next = 0.5 * (1 + Math.sqrt(1 + 4 * momentum * momentum)),
        share = (momentum - 1) / next;
      momentum = next;
      atX = oldX + share * mx;
      atY = oldY + share * my;
      atZ = oldZ + share * mz;
    }
    return now.gap;
  };
  return {
    tip,
    spaces,
    solve,
    get gap() {
      return now.gap;
    },
    start: (x, y, z) => {
      tip[0] = x;
      tip[1] = y;
      tip[2] = z;
      spaces.clear();
      measure();
    },
    add: spaces.add,
    copy: (other) => {
      spaces.copy(other.spaces);
      now.gap = other.gap;
    },
    place: (from, o, gap) => {
      tip[0] = from[o];
      tip[1] = from[o + 1];
      tip[2] = from[o + 2];
      now.gap = gap;
    },
  };
}

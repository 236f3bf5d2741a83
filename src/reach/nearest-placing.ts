import { flatRadiusMm, type CutterProfile } from '../cutter/cutter-profile.js';
import { halfSpaces } from './nearest-in-halfspaces.js';

/** A cutter placed relative to a point, within half-spaces for its tip. */
export interface Placing {
  /** (3) tip minus point, mm */
  readonly tip: Float64Array;
  /** distance from the point to the cutter so placed, mm; 0 inside it */
  readonly gap: number;
  /** Forgets all half-spaces. */
  start(x: number, y: number, z: number): void;
  /** Half-space `m · tip >= b`. @param m unit */
  add(mx: number, my: number, mz: number, b: number): void;
  copy(other: Placing): void;
  /**
   * Moves the tip to where the gap is least. Where many places are as good, not far from where it is.
   *
   * @param enough mm: a gap well below this needs no further work
   * @param hopeless mm: nor does one that is surely larger than this
   * @returns the gap, or where it is hopeless a lower bound; Infinity if no place is in all half-spaces, or
   *   none but by rounding
   */
  solve(enough: number, hopeless: number): number;
  /** (4 ..) the half-spaces, for `copy` */
  readonly spaces: Float64Array;
  readonly count: number;
}

const CAPACITY = 8;
const STEPS = 60;
const STILL_MM = 1e-8;

/**
 * Distance from a point to a cutter is distance to its core less RE; the core is convex (a disc, or a cone
 * standing on its tip, carried upwards). So the least gap is the least distance between two convex sets, the
 * half-spaces' and the core mirrored about the point, found by projecting onto one and the other in turn
 * (Cheney and Goldstein 1959, doi 10.1090/S0002-9939-1959-0105008-8), with Nesterov's momentum, restarted
 * when it overshoots.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function nearestPlacing(profile: CutterProfile): Placing {
  const flat = flatRadiusMm(profile),
    corner = profile.cornerRadiusMm;
  const taper = profile.taperHalfAngleRad,
    sinA = Math.sin(taper),
    cosA = Math.cos(taper);
  const end = profile.radiusMm - corner;
  const spaces = new Float64Array(4 * CAPACITY);
  const tip = new Float64Array(3),
    core = new Float64Array(3);
  const solver = halfSpaces();
  let count = 0,
    gap = 0;

  /**
   * Nearest point of the core to the point itself, relative to the tip at (x, y, z); returns the distance.
   */
  const toCore = (x: number, y: number, z: number): number => {
    const d = Math.sqrt(x * x + y * y),
      v = -z - corner;
    let across = Math.min(d, flat),
      up = Math.max(v, 0);
    if (taper > 0) {
      const along = d * sinA + v * cosA;
      if (v > 0 && d * cosA <= v * sinA) across = Math.min(d, end);
      else if (along <= 0) {
        across = 0;
        up = 0;
      } else if (along * sinA <= end) {
        across = along * sinA;
        up = along * cosA;
      } else {
        across = end;
        up = Math.max(v, (end * cosA) / sinA);
      }
    }
    const scale = d > 0 ? -across / d : 0;
    core[0] = scale * x;
    core[1] = scale * y;
    core[2] = corner + up;
    const off = d - across,
      over = v - up;
    return Math.sqrt(off * off + over * over);
  };
  /** Nearest tip in the half-spaces to (x, y, z), into `tip`. */
  const project = (x: number, y: number, z: number): boolean => {
    solver.clear();
    for (let i = 0; i < 4 * count; i += 4) {
      const mx = spaces[i],
        my = spaces[i + 1],
        mz = spaces[i + 2];
      solver.add(mx, my, mz, spaces[i + 3] - mx * x - my * y - mz * z);
    }
    if (!solver.solve()) return false;
    tip[0] = x + solver.point[0];
    tip[1] = y + solver.point[1];
    tip[2] = z + solver.point[2];
    return true;
  };
  const measure = (): number => {
    const distance = toCore(tip[0], tip[1], tip[2]);
    gap = Math.max(0, distance - corner);
    return distance;
  };

  /**
   * No tip in the half-spaces brings the cutter nearer than this to the point, mm: what lies between the
   * plane through the last projection and the core's parallel one, less RE.
   */
  const lowerBound = (): number => {
    const [x, y, z] = solver.point;
    const across = Math.sqrt(x * x + y * y),
      length = Math.sqrt(x * x + y * y + z * z);
    if (length === 0 || z < 0 || across * sinA > z * cosA) return 0;
    return (x * tip[0] + y * tip[1] + z * tip[2] + corner * z - flat * across) / length - corner;
  };

  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one descent, whose step and bounds are locals.
  const solve = (enough: number, hopeless: number): number => {
    if (!project(tip[0], tip[1], tip[2])) {
      gap = Infinity;
      return gap;
    }
    let distance = measure(),
      momentum = 1;
    let oldX = tip[0],
      oldY = tip[1],
      oldZ = tip[2],
      atX = oldX,
      atY = oldY,
      atZ = oldZ;
    for (let step = 0; step < STEPS && gap > 0.25 * enough; step++) {
      toCore(atX, atY, atZ);
      // The core's nearest point is to come to the point itself.
      if (!project(-core[0], -core[1], -core[2])) {
        gap = Infinity;
        return gap;
      }
      const least = lowerBound();
      if (least > hopeless) {
        gap = least;
        return gap;
      }
      const now = measure();
      const mx = tip[0] - oldX,
        my = tip[1] - oldY,
        mz = tip[2] - oldZ;
      if (now > distance) {
        if (momentum === 1) {
          tip[0] = oldX;
          tip[1] = oldY;
          tip[2] = oldZ;
          measure();
          break;
        }
        tip[0] = oldX;
        tip[1] = oldY;
        tip[2] = oldZ;
        measure();
        momentum = 1;
        atX = oldX;
        atY = oldY;
        atZ = oldZ;
        continue;
      }
      distance = now;
      oldX = tip[0];
      oldY = tip[1];
      oldZ = tip[2];
      if (Math.abs(mx) + Math.abs(my) + Math.abs(mz) < STILL_MM) break;
      const next = 0.5 * (1 + Math.sqrt(1 + 4 * momentum * momentum)),
        share = (momentum - 1) / next;
      momentum = next;
      atX = oldX + share * mx;
      atY = oldY + share * my;
      atZ = oldZ + share * mz;
    }
    return gap;
  };
  return {
    tip,
    spaces,
    solve,
    get gap() {
      return gap;
    },
    get count() {
      return count;
    },
    start: (x, y, z) => {
      tip[0] = x;
      tip[1] = y;
      tip[2] = z;
      count = 0;
      measure();
    },
    add: (mx, my, mz, b) => {
      let slot = count;
      if (count === CAPACITY) {
        // The slackest where the tip is gives way, never the first: that is mostly the point's own plane.
        let most = -Infinity;
        for (let i = 1; i < count; i++) {
          const s = 4 * i;
          const room = spaces[s] * tip[0] + spaces[s + 1] * tip[1] + spaces[s + 2] * tip[2] - spaces[s + 3];
          if (room > most) {
            most = room;
            slot = i;
          }
        }
      } else {
        count++;
      }
      spaces[4 * slot] = mx;
      spaces[4 * slot + 1] = my;
      spaces[4 * slot + 2] = mz;
      spaces[4 * slot + 3] = b;
    },
    copy: (other) => {
      tip.set(other.tip);
      spaces.set(other.spaces);
      count = other.count;
      gap = other.gap;
    },
  };
}

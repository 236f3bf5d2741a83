import { furthest } from '../core/furthest.js';
/** Turn of the border above which a point is a corner and must stay, radians. */
const CORNER_RAD = Math.PI / 6;
/** Corners are looked for on the border as it is at this many tolerances: noise makes none. */
const CORNER_SCALE = 5;

/**
 * Marks points of one chain that suffice: every point left out lies within `tolerance` of the side that
 * replaces it. Corners and the chain's ends stay; between them each side reaches as far as it can.
 *
 * @param points (3 P) mm
 * @param from first point of the chain; `to` one past its last
 * @param kept (P) set to 1 where a point stays
 */
export function keepPoints(
  points: Float64Array,
  from: number,
  to: number,
  closed: boolean,
  tolerance: number,
  kept: Uint8Array,
): void {
  const count = to - from;
  // A closed chain is walked once round, back to its first point.
  const steps = closed ? count : count - 1;
  const at = (step: number) => from + (step % count);
  const anchors = [0, ...corners(points, at, steps, CORNER_SCALE * tolerance), steps];
  if (closed && anchors.length === 2) {
    const far = farthest(1, steps, (i) => offLine(points, at(0), at(0), at(i)));
    anchors.splice(1, 0, Math.max(1, far));
  }
  for (let a = 0; a + 1 < anchors.length; a++) {
    kept[at(anchors[a])] = 1;
    for (let step = anchors[a]; step < anchors[a + 1]; ) {
      step = reach(points, at, step, anchors[a + 1], tolerance);
      kept[at(step)] = 1;
    }
  }
  if (closed && count >= 3) keepThree(points, from, to, kept);
}

/** The last step up to `limit` that a straight side from `first` can go to: doubled strides, then halved. */
function reach(
  points: Float64Array,
  at: (step: number) => number,
  first: number,
  limit: number,
  tolerance: number,
): number {
  const fits = (last: number) => {
    for (let i = first + 1; i < last; i++) {
      if (offLine(points, at(first), at(last), at(i)) > tolerance) return false;
    }
    return true;
  };
  return furthest(first, 1, limit, fits);
}

/** Steps where the coarsely simplified chain turns sharply (farthest-point splitting, iterative). */
function corners(
  points: Float64Array,
  at: (step: number) => number,
  steps: number,
  tolerance: number,
): number[] {
  const coarse = new Set<number>([0, steps]);
  const stack: [number, number][] = [[0, steps]];
  for (let range = stack.pop(); range; range = stack.pop()) {
    const [first, last] = range;
    const far = farthest(first + 1, last, (i) => offLine(points, at(first), at(last), at(i)), tolerance);
    if (far < 0) continue;
    coarse.add(far);
    stack.push([first, far], [far, last]);
  }
  const order = [...coarse].sort((a, b) => a - b);
  return order.filter(
    (step, i) =>
      i > 0 &&
      i + 1 < order.length &&
      turn(points, at(order[i - 1]), at(step), at(order[i + 1])) > CORNER_RAD,
  );
}

/** The first of the points `from` to `to` - 1 that is off by most, and by more than `least`; -1: none is. */
export function farthest(from: number, to: number, off: (i: number) => number, least = -1): number {
  let far = -1,
    worst = least;
  for (let i = from; i < to; i++) {
    const own = off(i);
    if (own > worst) [far, worst] = [i, own];
  }
  return far;
}

/** A closed chain needs three points to be a ring: the one farthest from the two kept is added. */
function keepThree(points: Float64Array, from: number, to: number, kept: Uint8Array): void {
  const own: number[] = [];
  for (let i = from; i < to; i++) if (kept[i]) own.push(i);
  if (own.length >= 3) return;
  kept[farthest(from, to, (i) => (kept[i] ? -1 : offLine(points, own[0], own[own.length - 1], i)))] = 1;
}

/** Angle in space by which the way a, b, c turns at b, radians. */
function turn(points: Float64Array, a: number, b: number, c: number): number {
  const ux = points[3 * b] - points[3 * a],
    uy = points[3 * b + 1] - points[3 * a + 1];
  const uz = points[3 * b + 2] - points[3 * a + 2];
  const vx = points[3 * c] - points[3 * b],
    vy = points[3 * c + 1] - points[3 * b + 1];
  const vz = points[3 * c + 2] - points[3 * b + 2];
  const cx = uy * vz - uz * vy,
    cy = uz * vx - ux * vz,
    cz = ux * vy - uy * vx;
  return Math.atan2(Math.sqrt(cx * cx + cy * cy + cz * cz), ux * vx + uy * vy + uz * vz);
}

/** Distance of point `i` from the straight side between points `a` and `b`, mm. */
export function offLine(points: Float64Array, a: number, b: number, i: number): number {
  const ux = points[3 * b] - points[3 * a],
    uy = points[3 * b + 1] - points[3 * a + 1];
  const uz = points[3 * b + 2] - points[3 * a + 2];
  const px = points[3 * i] - points[3 * a],
    py = points[3 * i + 1] - points[3 * a + 1];
  const pz = points[3 * i + 2] - points[3 * a + 2];
  const square = ux * ux + uy * uy + uz * uz;
  const t = square > 0 ? Math.min(1, Math.max(0, (px * ux + py * uy + pz * uz) / square)) : 0;
  const dx = px - t * ux,
    dy = py - t * uy,
    dz = pz - t * uz;
  return Math.sqrt(dx * dx + dy * dy + dz * dz);
}

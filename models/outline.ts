import type { Point, Point2 } from '../tests/support/shapes/soup.js';

/**
 * Greatest distance of a facet from the true surface, mm, and greatest turn of one facet, as CAD exports
 * set them.
 */
export const CHORD_MM = 0.015;
const GREATEST_TURN = (15 * Math.PI) / 180;
/** Nobody takes facets that turn by more for a curve. */
const MOST_TURN = 2 * GREATEST_TURN;

/**
 * Facets for an arc: as many as chord tolerance and greatest turn ask for, times `refine`. A whole
 * multiple where `refine` is, so that errors of a refined mesh fall by refine squared exactly.
 */
export function facetsOf(radius: number, turnRad: number, refine: number): number {
  const step = Math.min(2 * Math.acos(1 - Math.min(1, CHORD_MM / Math.abs(radius))), GREATEST_TURN);
  const least = Math.ceil(Math.abs(turnRad) / MOST_TURN - 1e-9);
  return Math.max(1, least, Math.ceil(refine * Math.ceil(Math.abs(turnRad) / step - 1e-9) - 1e-9));
}

/** One place on an outline: ring points lie at `base + normal * (radius - d)` for an inset d. */
export interface Station {
  readonly base: Point2;
  /** unit, outwards in plan */
  readonly normal: Point2;
}

/** A rounded rectangle in plan, counter-clockwise; insets keep the corner centres, so offsets are exact. */
export interface Outline {
  readonly stations: readonly Station[];
  /** corner radius at inset 0, mm */
  readonly radius: number;
}

/**
 * Measures of a rounded rectangle, mm; a circle where both halves equal the radius, a stadium where one
 * does.
 */
export interface OutlineSpec {
  readonly halfX: number;
  readonly halfY: number;
  readonly radius: number;
  readonly centre?: Point2;
  readonly turnDeg?: number;
  /** greatest distance of stations along the straights, mm; absent: ends only */
  readonly straightStep?: number;
}

/** Stations of a rounded rectangle. */
export function outline(spec: OutlineSpec, refine: number): Outline {
  const { halfX, halfY, radius, centre = [0, 0], turnDeg = 0, straightStep = Infinity } = spec;
  if (!(radius > 0 && radius <= halfX && radius <= halfY))
    throw new RangeError(`outline: corner radius ${radius}`);
  const steps = facetsOf(radius, Math.PI / 2, refine);
  const stations: Station[] = [];
  for (let quarter = 0; quarter < 4; quarter++) {
    const along = quarter % 2 === 0 ? halfX - radius : halfY - radius;
    const corner = quarterTurn(
      [quarter % 2 ? halfY - radius : halfX - radius, quarter % 2 ? halfX - radius : halfY - radius],
      quarter,
    );
    for (let k = 0; k <= steps; k++)
      stations.push({ base: corner, normal: quarterTurn(direction(k, steps), quarter) });
    if (along === 0) {
      stations.pop();
      continue;
    }
    const pieces = refine * Math.ceil((2 * along) / straightStep) || 1;
    const [tx, ty] = quarterTurn([-1, 0], quarter);
    for (let k = 1; k < pieces; k++) {
      const s = (2 * along * k) / pieces;
      stations.push({ base: [corner[0] + tx * s, corner[1] + ty * s], normal: quarterTurn([0, 1], quarter) });
    }
  }
  const turn = rotation(turnDeg);
  const placed = stations.map(({ base, normal }): Station => {
    const [x, y] = turn(base);
    return { base: [x + centre[0], y + centre[1]], normal: turn(normal) };
  });
  return { stations: placed, radius };
}

/** Unit vector at k / steps of a quarter turn; its ends are exact. */
function direction(k: number, steps: number): Point2 {
  if (k === 0) return [1, 0];
  if (k === steps) return [0, 1];
  const angle = (Math.PI / 2) * (k / steps);
  return [Math.cos(angle), Math.sin(angle)];
}

function quarterTurn([x, y]: Point2, times: number): Point2 {
  const turns: readonly Point2[] = [
    [x, y],
    [-y, x],
    [-x, -y],
    [y, -x],
  ];
  return turns[times % 4];
}

function rotation(degrees: number): (p: Point2) => Point2 {
  if (degrees === 0) return (p) => p;
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return ([x, y]) => [c * x - s * y, s * x + c * y];
}

/** The outline inset by d (outset where negative), at height z. */
export function ring({ stations, radius }: Outline, d: number, z: number): Point[] {
  return stations.map(({ base, normal }) => [
    base[0] + normal[0] * (radius - d),
    base[1] + normal[1] * (radius - d),
    z,
  ]);
}

/** Area in plan of a rounded rectangle inset by d, mm²: closed form, no facets. */
export function roundedArea({ halfX, halfY, radius }: OutlineSpec, d: number): number {
  const r = radius - d;
  return 4 * (halfX - d) * (halfY - d) - (4 - Math.PI) * r * r;
}

/** A corner of a profile, (d, z), rounded by `radius` (0: sharp). */
export type ProfileCorner = readonly [d: number, z: number, radius: number];

/**
 * Profile through rounded corners, arcs tangent and with vertices on the arc. `from` and `to` give the
 * directions in which the profile comes and goes; they are not part of the result.
 *
 * @throws RangeError where two roundings overlap
 */
export function roundedProfile(
  from: Point2,
  corners: readonly ProfileCorner[],
  to: Point2,
  refine: number,
): Point2[] {
  const points: Point2[] = [];
  let used = 0;
  corners.forEach(([d, z, radius], i) => {
    const before = unit(i === 0 ? from : corners[i - 1], [d, z]);
    const after = unit([d, z], i === corners.length - 1 ? to : corners[i + 1]);
    const turn = Math.atan2(
      before.u[0] * after.u[1] - before.u[1] * after.u[0],
      before.u[0] * after.u[0] + before.u[1] * after.u[1],
    );
    const tangent = radius * Math.tan(Math.abs(turn) / 2);
    if (used + tangent > before.length || tangent > after.length)
      throw new RangeError(`roundedProfile: corner ${i} does not fit`);
    used = tangent;
    if (radius === 0) {
      points.push([d, z]);
      return;
    }
    const start: Point2 = [d - before.u[0] * tangent, z - before.u[1] * tangent];
    const side = Math.sign(turn);
    const centre: Point2 = [start[0] - side * before.u[1] * radius, start[1] + side * before.u[0] * radius];
    const first = Math.atan2(start[1] - centre[1], start[0] - centre[0]);
    const facets = facetsOf(radius, turn, refine);
    points.push(start);
    for (let k = 1; k < facets; k++) {
      const angle = first + (turn * k) / facets;
      points.push([centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)]);
    }
    points.push([d + after.u[0] * tangent, z + after.u[1] * tangent]);
  });
  return points;
}

function unit(a: readonly number[], b: readonly number[]): { u: Point2; length: number } {
  const [x, y] = [b[0] - a[0], b[1] - a[1]];
  const length = Math.sqrt(x * x + y * y);
  return { u: [x / length, y / length], length };
}

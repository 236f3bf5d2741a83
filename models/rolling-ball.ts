import type { Point } from '../tests/support/shapes/soup.js';
import type { Station } from './outline.js';

/** A ball about (0, 0, z): a crowned floor or a dome. */
export interface Dome {
  readonly z: number;
  readonly radius: number;
}

/**
 * A drafted wall that stands round an outline: plan distance from `base` along `normal` is `at0 + z *
 * slope`.
 */
export interface Wall {
  readonly at0: number;
  readonly draftDeg: number;
  /** +1: the wall stands outside (a pocket); -1: inside (a boss) */
  readonly side: 1 | -1;
}

/** Where a ball of radius r touches both wall and dome at one station. */
export interface Contact {
  readonly centre: Point;
  readonly onWall: Point;
  readonly onDome: Point;
}

/**
 * Rolling-ball fillet between a drafted wall and a dome, exact: the ball's centre lies at distance r from
 * the wall and at dome radius + r from the dome's centre, which is a quadratic in its height.
 *
 * @param r fillet radius, mm; positive in a valley, negative for a rounded edge (ball inside the solid)
 */
export function rollingBall({ base, normal }: Station, wall: Wall, dome: Dome, r: number): Contact {
  const draft = (wall.draftDeg * Math.PI) / 180;
  const slope = wall.side * Math.tan(draft);
  const [out, up] = [wall.side * r * Math.cos(draft), r * Math.sin(draft)];
  // Height w of the contact on the wall: |base + normal (u + slope w)|² + (w + v)² = (dome radius + r)².
  const u = wall.at0 - out;
  const v = up - dome.z;
  const along = base[0] * normal[0] + base[1] * normal[1];
  const a = slope * slope + 1;
  const b = 2 * (along * slope + u * slope + v);
  const c = base[0] ** 2 + base[1] ** 2 + 2 * along * u + u * u + v * v - (dome.radius + r) ** 2;
  const root = b * b - 4 * a * c;
  if (!(root > 0)) throw new RangeError(`rollingBall: a ball of ${r} cannot touch both`);
  const w = (-b + Math.sqrt(root)) / (2 * a);
  const at = (reach: number, z: number): Point => [
    base[0] + normal[0] * reach,
    base[1] + normal[1] * reach,
    z,
  ];
  const centre = at(u + slope * w, w + up);
  const scale = dome.radius / (dome.radius + r);
  return {
    centre,
    onWall: at(u + slope * w + out, w),
    onDome: [centre[0] * scale, centre[1] * scale, dome.z + (centre[2] - dome.z) * scale],
  };
}

/**
 * The fillet's arc from wall to dome, ends included: `facets` equal steps on the great circle about the
 * centre.
 */
export function filletArc({ centre, onWall, onDome }: Contact, facets: number): Point[] {
  const from = difference(onWall, centre);
  const to = difference(onDome, centre);
  const cross = Math.sqrt(
    (from[1] * to[2] - from[2] * to[1]) ** 2 +
      (from[2] * to[0] - from[0] * to[2]) ** 2 +
      (from[0] * to[1] - from[1] * to[0]) ** 2,
  );
  const angle = Math.atan2(cross, from[0] * to[0] + from[1] * to[1] + from[2] * to[2]);
  return Array.from({ length: facets + 1 }, (_, k): Point => {
    if (k === 0) return onWall;
    if (k === facets) return onDome;
    const [p, q] = [
      Math.sin(angle * (1 - k / facets)) / Math.sin(angle),
      Math.sin((angle * k) / facets) / Math.sin(angle),
    ];
    return [
      centre[0] + p * from[0] + q * to[0],
      centre[1] + p * from[1] + q * to[1],
      centre[2] + p * from[2] + q * to[2],
    ];
  });
}

const difference = (p: Point, q: Point): Point => [p[0] - q[0], p[1] - q[1], p[2] - q[2]];

/** The dome's height above a place in plan. */
export const domeHeight = ({ z, radius }: Dome, x: number, y: number): number =>
  z + Math.sqrt(radius * radius - x * x - y * y);

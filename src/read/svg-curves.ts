import { sidesOfArc } from '../core/arc-sides.js';

type Point = readonly [number, number];

/**
 * Points after the first on a Bézier curve of two or three degrees, close enough for straight sides.
 *
 * Number of sides: for degree d, √(d (d − 1) max|second difference| / (8 tolerance)) (Wang's bound, from the
 * second derivative).
 */
export function curvePoints(control: readonly Point[], tolerance: number): number[] {
  const degree = control.length - 1;
  let bend = 0;
  for (let i = 0; i + 2 <= degree; i++) {
    const [a, b, c] = [control[i], control[i + 1], control[i + 2]];
    const x = a[0] - 2 * b[0] + c[0],
      y = a[1] - 2 * b[1] + c[1];
    bend = Math.max(bend, Math.sqrt(x * x + y * y));
  }
  const sides = boundedSides(Math.sqrt((degree * (degree - 1) * bend) / (8 * tolerance)));
  const points: number[] = [];
  for (let s = 1; s < sides; s++) points.push(...deCasteljau(control, s / sides));
  points.push(...control[degree]);
  return points;
}

/** More than any curve takes that lies as near to the origin as a drawing must: a greater one shows by its points. */
const MOST_SIDES = 40_000;

const boundedSides = (sides: number): number => Math.max(1, Math.min(MOST_SIDES, Math.ceil(sides)));

function deCasteljau(control: readonly Point[], t: number): Point {
  let level = control;
  while (level.length > 1) {
    level = level
      .slice(1)
      .map(
        ([x, y], i) => [level[i][0] + t * (x - level[i][0]), level[i][1] + t * (y - level[i][1])] as const,
      );
  }
  return level[0];
}

/**
 * Points after the first on an SVG elliptical arc, by its centre (SVG 1.1, F.6.5 and F.6.6).
 *
 * @param shape rx, ry, turn of the x axis in degrees, large-arc flag, sweep flag
 */
export function arcPoints(from: Point, shape: readonly number[], end: Point, tolerance: number): number[] {
  let [rx, ry] = [Math.abs(shape[0]), Math.abs(shape[1])];
  if (from[0] === end[0] && from[1] === end[1]) return [];
  if (rx === 0 || ry === 0) return [...end];
  const angle = (shape[2] * Math.PI) / 180;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const hx = (from[0] - end[0]) / 2,
    hy = (from[1] - end[1]) / 2;
  const px = c * hx + s * hy,
    py = c * hy - s * hx;
  // Radii too small to reach are scaled up until they do.
  const need = (px * px) / (rx * rx) + (py * py) / (ry * ry);
  if (need > 1) [rx, ry] = [rx * Math.sqrt(need), ry * Math.sqrt(need)];
  const left = rx * rx * ry * ry - rx * rx * py * py - ry * ry * px * px;
  const size = Math.sqrt(Math.max(0, left) / (rx * rx * py * py + ry * ry * px * px));
  const k = (shape[3] === 0) === (shape[4] === 0) ? -size : size;
  const qx = (k * rx * py) / ry,
    qy = (-k * ry * px) / rx;
  const centre: Point = [c * qx - s * qy + (from[0] + end[0]) / 2, s * qx + c * qy + (from[1] + end[1]) / 2];
  const first = Math.atan2((py - qy) / ry, (px - qx) / rx);
  let sweep = Math.atan2((-py - qy) / ry, (-px - qx) / rx) - first;
  if (shape[4] === 0 && sweep > 0) sweep -= 2 * Math.PI;
  if (shape[4] !== 0 && sweep < 0) sweep += 2 * Math.PI;
  const sides = boundedSides(sidesOfArc(Math.max(rx, ry), sweep, tolerance));
  const points: number[] = [];
  for (let i = 1; i < sides; i++) {
    const t = first + (sweep * i) / sides;
    const [ex, ey] = [rx * Math.cos(t), ry * Math.sin(t)];
    points.push(centre[0] + c * ex - s * ey, centre[1] + s * ex + c * ey);
  }
  points.push(...end);
  return points;
}

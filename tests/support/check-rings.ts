import { expect } from 'vitest';
import type { Outlines } from '../../src/outlines/types.js';

type Point = readonly [number, number];
export type Polygon = readonly Point[];

/** Rings of one region as lists of points. */
export function polygonsOf({ points, start, regionOfRing }: Outlines, region?: number): Polygon[] {
  const rings: Polygon[] = [];
  for (let r = 0; r < regionOfRing.length; r++) {
    if (region !== undefined && regionOfRing[r] !== region) continue;
    rings.push(
      Array.from(
        { length: start[r + 1] - start[r] },
        (_, i) => [points[2 * (start[r] + i)], points[2 * (start[r] + i) + 1]] as const,
      ),
    );
  }
  return rings;
}

/** Green's theorem, term by term; positive counter-clockwise. */
export const signedArea = (ring: Polygon): number =>
  ring.reduce((sum, [x, y], i) => {
    const [u, v] = ring[(i + 1) % ring.length];
    return sum + (x * v - u * y) / 2;
  }, 0);

/** Crossings to the right of the point, counted side by side. */
export const depthOf = ([x, y]: Point, rings: readonly Polygon[]): number =>
  rings.filter((ring) => {
    let inside = false;
    ring.forEach(([ax, ay], i) => {
      const [bx, by] = ring[(i + 1) % ring.length];
      if (ay <= y !== by <= y && ax + ((y - ay) * (bx - ax)) / (by - ay) > x) inside = !inside;
    });
    return inside;
  }).length;

export function distanceToRings([x, y]: Point, rings: readonly Polygon[]): number {
  let best = Infinity;
  for (const ring of rings) {
    ring.forEach(([ax, ay], i) => {
      const [bx, by] = ring[(i + 1) % ring.length];
      const square = (bx - ax) ** 2 + (by - ay) ** 2;
      const t =
        square === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / square));
      best = Math.min(best, Math.sqrt((x - ax - t * (bx - ax)) ** 2 + (y - ay - t * (by - ay)) ** 2));
    });
  }
  return best;
}

const cross = (a: Point, b: Point, c: Point) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
const isBetween = (a: Point, b: Point, c: Point) =>
  Math.min(a[0], b[0]) <= c[0] &&
  c[0] <= Math.max(a[0], b[0]) &&
  Math.min(a[1], b[1]) <= c[1] &&
  c[1] <= Math.max(a[1], b[1]);

/** Whether two closed sides have a point in common (textbook test by four orientations). */
function sidesMeet(a: Point, b: Point, c: Point, d: Point): boolean {
  const [o1, o2, o3, o4] = [cross(a, b, c), cross(a, b, d), cross(c, d, a), cross(c, d, b)];
  if (o1 * o2 < 0 && o3 * o4 < 0) return true;
  return (
    (o1 === 0 && isBetween(a, b, c)) ||
    (o2 === 0 && isBetween(a, b, d)) ||
    (o3 === 0 && isBetween(c, d, a)) ||
    (o4 === 0 && isBetween(c, d, b))
  );
}

const same = (a: Point, b: Point) => a[0] === b[0] && a[1] === b[1];

/**
 * Each region's rings: three points or more, none passed twice, no side meeting another of its ring, rings
 * not crossing each other, counter-clockwise at even nesting depth and clockwise at odd. Every pair of sides
 * is tried.
 */
export function expectGoodRings(outlines: Outlines): void {
  expect(outlines.points.length).toBe(2 * outlines.heights.length);
  expect(outlines.start[outlines.regionOfRing.length]).toBe(outlines.heights.length);
  expect([...outlines.points, ...outlines.heights].every(Number.isFinite)).toBe(true);
  for (const region of new Set(outlines.regionOfRing)) {
    const rings = polygonsOf(outlines, region);
    rings.forEach((ring, r) =>
      expectGoodRing(
        ring,
        rings.filter((_, other) => other !== r),
        `region ${region} ring ${r}`,
      ),
    );
  }
}

function expectGoodRing(ring: Polygon, others: readonly Polygon[], name: string): void {
  // Collected rather than asserted one by one: there are millions of pairs.
  const faults: string[] = [];
  const side = (i: number): [Point, Point] => [ring[i], ring[(i + 1) % ring.length]];
  if (ring.length < 3) faults.push('fewer than three points');
  ring.forEach((_, i) => {
    const [a, b] = side(i);
    if (same(a, b)) faults.push(`point ${i} repeated`);
    for (let j = i + 2; j < ring.length - (i === 0 ? 1 : 0); j++) {
      if (sidesMeet(a, b, ...side(j))) faults.push(`side ${i} meets side ${j} at ${a} ${b}`);
    }
    for (const other of others) {
      other.forEach((c, j) => {
        const d = other[(j + 1) % other.length];
        if (same(a, c) || same(a, d) || same(b, c) || same(b, d)) return;
        if (sidesMeet(a, b, c, d)) faults.push(`side ${i} meets another ring at ${a} ${b}`);
      });
    }
  });
  const [[ax, ay], [bx, by]] = side(0);
  const depth = depthOf([(ax + bx) / 2, (ay + by) / 2], others);
  if (Math.sign(signedArea(ring)) !== (depth % 2 === 0 ? 1 : -1))
    faults.push(`runs the wrong way at depth ${depth}`);
  expect(faults, name).toEqual([]);
}

/** Area that an even-odd reading of well nested rings encloses, mm². */
export const evenOddArea = (rings: readonly Polygon[]): number =>
  rings.reduce((sum, ring) => sum + signedArea(ring), 0);

/** Largest distance of the points and side middles of `from` to `to`, mm. */
export const farthest = (from: readonly Polygon[], to: readonly Polygon[]): number =>
  Math.max(
    ...from.flatMap((ring) =>
      ring.flatMap(([x, y], i) => {
        const [u, v] = ring[(i + 1) % ring.length];
        return [0, 0.25, 0.5, 0.75].map((t) => distanceToRings([x + t * (u - x), y + t * (v - y)], to));
      }),
    ),
  );

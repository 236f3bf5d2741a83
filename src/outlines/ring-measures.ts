import { runningSum } from '../core/sum.js';

/** Plan rings of one region: each (2 n) mm, x and y in turn, closed, the first point not repeated. */
export type Rings = readonly Float64Array[];

/** Signed area of a closed ring, mm²: positive counter-clockwise (shoelace formula about its first point). */
export function ringArea(ring: Float64Array): number {
  const sum = runningSum();
  for (let i = 2; i + 3 < ring.length; i += 2) {
    sum.add(
      (ring[i] - ring[0]) * (ring[i + 3] - ring[1]) - (ring[i + 2] - ring[0]) * (ring[i + 1] - ring[1]),
    );
  }
  return sum.value() / 2;
}

/** Length of a closed ring, mm. */
export function ringLength(ring: Float64Array): number {
  const sum = runningSum();
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const dx = ring[j] - ring[i],
      dy = ring[j + 1] - ring[i + 1];
    sum.add(Math.sqrt(dx * dx + dy * dy));
  }
  return sum.value();
}

/** All sides of closed rings, four numbers each: x and y of both ends, mm. */
export function ringSides(rings: Rings): Float64Array {
  const sides = new Float64Array(rings.reduce((sum, ring) => sum + 2 * ring.length, 0));
  let at = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      for (let k = i; k < i + 4; k++) sides[at++] = ring[k % ring.length];
    }
  }
  return sides;
}

/** Square of the distance of a point from the segment between a and b in plan, mm². */
export function squareToSegment(
  x: number,
  y: number,
  ax: number,
  ay: number,
  bx: number,
  by: number,
): number {
  const ux = bx - ax,
    uy = by - ay;
  const square = ux * ux + uy * uy;
  const t = square > 0 ? Math.min(1, Math.max(0, ((x - ax) * ux + (y - ay) * uy) / square)) : 0;
  const dx = x - ax - t * ux,
    dy = y - ay - t * uy;
  return dx * dx + dy * dy;
}

/**
 * Even-odd test: whether (x, y) lies inside an odd number of the rings. Points on a ring fall on either side.
 */
export function pointInRings(x: number, y: number, rings: Rings): boolean {
  let inside = false;
  for (const ring of rings) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      const ay = ring[j + 1],
        by = ring[i + 1];
      if (ay > y !== by > y && x < ring[j] + ((y - ay) / (by - ay)) * (ring[i] - ring[j])) inside = !inside;
    }
  }
  return inside;
}

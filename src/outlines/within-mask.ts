import type { Rings } from './ring-measures.js';

/** Sides per horizontal slab, on average: points look at the sides of their slab only. */
const SIDES_PER_SLAB = 4;

/**
 * Even-odd test of single points against the same rings: the rings are sorted into slabs once.
 * Points on a ring fall on either side; a NaN coordinate is outside.
 */
export function insideRings(rings: Rings): (x: number, y: number) => boolean {
  const { low, height, start, sides } = slabs(rings);
  const count = start.length - 1;
  return (x, y) => {
    const slab = Math.floor((y - low) / height);
    let inside = false;
    if (!(slab >= 0 && slab < count)) return inside;
    for (let i = start[slab]; i < start[slab + 1]; i++) {
      const s = 4 * i;
      const ay = sides[s + 1],
        by = sides[s + 3];
      if (ay > y !== by > y && x < sides[s] + ((y - ay) / (by - ay)) * (sides[s + 2] - sides[s]))
        inside = !inside;
    }
    return inside;
  };
}

/**
 * Which points lie inside the rings, read even-odd.
 *
 * @param points (2 n) mm
 * @returns (n) 1 inside, 0 outside
 */
export function withinMask(points: Float64Array, rings: Rings): Uint8Array {
  const isInside = insideRings(rings);
  const mask = new Uint8Array(points.length / 2);
  for (let p = 0; p < mask.length; p++) mask[p] = isInside(points[2 * p], points[2 * p + 1]) ? 1 : 0;
  return mask;
}

function slabs(rings: Rings) {
  let low = Infinity,
    high = -Infinity,
    total = 0;
  for (const ring of rings) {
    total += ring.length / 2;
    for (let i = 1; i < ring.length; i += 2) [low, high] = [Math.min(low, ring[i]), Math.max(high, ring[i])];
  }
  const count = Math.max(1, Math.ceil(total / SIDES_PER_SLAB));
  // A point on the very top is outside by the rule of the crossing test; no slab need hold it.
  const height = (high - low) / count || 1;
  const start = new Uint32Array(count + 1);
  const each = (visit: (slab: number, ring: Float64Array, i: number, j: number) => void) => {
    for (const ring of rings) {
      for (let i = 0; i < ring.length; i += 2) {
        const j = (i + 2) % ring.length;
        const first = Math.floor((Math.min(ring[i + 1], ring[j + 1]) - low) / height);
        const last = Math.min(count - 1, Math.floor((Math.max(ring[i + 1], ring[j + 1]) - low) / height));
        for (let slab = first; slab <= last; slab++) visit(slab, ring, i, j);
      }
    }
  };
  each((slab) => {
    start[slab + 1]++;
  });
  for (let slab = 0; slab < count; slab++) start[slab + 1] += start[slab];
  const next = start.slice(),
    sides = new Float64Array(4 * start[count]);
  each((slab, ring, i, j) => {
    sides.set([ring[i], ring[i + 1], ring[j], ring[j + 1]], 4 * next[slab]++);
  });
  return { low, height, start, sides };
}

import { planBounds } from '../core/bounds.js';
import { listsByRange } from '../core/lists.js';
import { ringSides, type Rings } from './ring-measures.js';

/** Sides per horizontal slab, on average: points look at the sides of their slab only. */
const SIDES_PER_SLAB = 4;

/**
 * Even-odd test of single points against the same rings: the rings are sorted into slabs once.
 * Points on a ring fall on either side; a NaN coordinate is outside.
 */
export function insideRings(rings: Rings): (x: number, y: number) => boolean {
  const { low, height, start, items, sides } = slabs(rings);
  const count = start.length - 1;
  return (x, y) => {
    const slab = Math.floor((y - low) / height);
    let inside = false;
    if (!(slab >= 0 && slab < count)) return inside;
    for (let i = start[slab]; i < start[slab + 1]; i++) {
      const s = 4 * items[i];
      const ay = sides[s + 1],
        by = sides[s + 3];
      if (ay > y !== by > y && x < sides[s] + ((y - ay) / (by - ay)) * (sides[s + 2] - sides[s]))
        inside = !inside;
    }
    return inside;
  };
}

function slabs(rings: Rings) {
  const {
    min: [, low],
    max: [, high],
  } = planBounds(rings);
  const sides = ringSides(rings);
  const total = sides.length / 4;
  const count = Math.max(1, Math.ceil(total / SIDES_PER_SLAB));
  // A point on the very top is outside by the rule of the crossing test; no slab need hold it.
  const height = (high - low) / count || 1;
  const from = new Int32Array(total),
    to = new Int32Array(total);
  for (let s = 0; s < total; s++) {
    const a = sides[4 * s + 1],
      b = sides[4 * s + 3];
    from[s] = Math.floor((Math.min(a, b) - low) / height);
    to[s] = Math.min(count - 1, Math.floor((Math.max(a, b) - low) / height));
  }
  return { low, height, ...listsByRange(from, to, count), sides };
}

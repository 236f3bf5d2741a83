import { sidesOfArc } from '../../src/core/arc-sides.js';
import type { ArcPath } from '../../src/outlines/fit-arcs.js';

/**
 * Appends the points strictly between the ends of a side with a bulge (tan of a quarter of its sweep).
 *
 * @param out x and y in turn
 */
function flattenBulge(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  bulge: number,
  toleranceMm: number,
  out: number[],
): void {
  if (bulge === 0) return;
  // Centre: from the chord's middle, across it by (1 - bulge²) / (4 bulge) of its length.
  const shift = (1 - bulge * bulge) / (4 * bulge);
  const cx = (ax + bx) / 2 - shift * (by - ay),
    cy = (ay + by) / 2 + shift * (bx - ax);
  const radius = Math.sqrt((ax - cx) ** 2 + (ay - cy) ** 2);
  const first = Math.atan2(ay - cy, ax - cx),
    sweep = 4 * Math.atan(bulge);
  const sides = sidesOfArc(radius, sweep, toleranceMm);
  for (let s = 1; s < sides; s++) {
    const angle = first + (sweep * s) / sides;
    out.push(cx + radius * Math.cos(angle), cy + radius * Math.sin(angle));
  }
}

/**
 * Straight sides of a path of arcs, each within `toleranceMm` of its arc. (2 n) mm, without a repeated end.
 */
export function flattenArcs({ points, bulges, closed }: ArcPath, toleranceMm: number): Float64Array {
  const flat: number[] = [];
  const count = bulges.length;
  for (let i = 0; i < count; i++) {
    const j = (i + 1) % count;
    flat.push(points[2 * i], points[2 * i + 1]);
    if (j === 0 && !closed) break;
    flattenBulge(
      points[2 * i],
      points[2 * i + 1],
      points[2 * j],
      points[2 * j + 1],
      bulges[i],
      toleranceMm,
      flat,
    );
  }
  return Float64Array.from(flat);
}

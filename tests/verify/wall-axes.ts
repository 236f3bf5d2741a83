import type { Sample } from './sample-points.js';

/** Points as steep as this tell where a cutter may just fit; normals' z. */
const STEEP_Z = 0.7;
/** At most this many are tried for one place. */
const MOST = 24;

/**
 * (2 A) where the axis stands, in plan, of a cutter that touches a wall at one of the points. Where a cutter
 * just fits between walls it can stand on a line only, which no cell of any size has its middle on.
 */
export function wallAxes({ points, normals }: Sample, radius: number): Float64Array {
  const axes: number[] = [];
  for (let k = 0; k < points.length; k += 3) {
    if (Math.abs(normals[k + 2]) > STEEP_Z) continue;
    axes.push(points[k] + radius * normals[k], points[k + 1] + radius * normals[k + 1]);
  }
  return Float64Array.from(axes);
}

/** Few of those within the radius of a place. */
export function axesNear(axes: Float64Array, x: number, y: number, radius: number): number[] {
  const near: [distance2: number, at: number][] = [];
  for (let i = 0; i < axes.length; i += 2) {
    const distance2 = (axes[i] - x) ** 2 + (axes[i + 1] - y) ** 2;
    if (distance2 < radius * radius) near.push([distance2, i]);
  }
  near.sort((a, b) => a[0] - b[0]);
  // Every so many of them, the nearest first: all sides are asked.
  const stride = Math.max(1, Math.floor(near.length / MOST));
  const chosen: number[] = [];
  for (let k = 0; k < near.length; k += stride) chosen.push(axes[near[k][1]], axes[near[k][1] + 1]);
  return chosen;
}

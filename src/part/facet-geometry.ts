import { nextCorner } from './half-edge.js';
import type { Mesh } from './types.js';

export type Place = [number, number, number];

/** Distance of two vertices, mm. */
export function distanceBetween(positions: Float64Array, u: number, v: number): number {
  const x = positions[3 * v] - positions[3 * u],
    y = positions[3 * v + 1] - positions[3 * u + 1],
    z = positions[3 * v + 2] - positions[3 * u + 2];
  return Math.sqrt(x * x + y * y + z * z);
}

/** Length of half-edge `h`, mm. */
export const edgeLength = ({ positions, triangles }: Mesh, h: number): number =>
  distanceBetween(positions, triangles[h], triangles[nextCorner(h)]);

/**
 * Cross product of two edges of facet `f`: outward, as long as twice the facet's area.
 *
 * @param out (3) filled with it, mm²
 * @returns its length
 */
export function doubleArea({ positions: p, triangles }: Mesh, f: number, out: Float64Array): number {
  const a = 3 * triangles[3 * f],
    b = 3 * triangles[3 * f + 1],
    c = 3 * triangles[3 * f + 2];
  const ux = p[b] - p[a],
    uy = p[b + 1] - p[a + 1],
    uz = p[b + 2] - p[a + 2];
  const vx = p[c] - p[a],
    vy = p[c + 1] - p[a + 1],
    vz = p[c + 2] - p[a + 2];
  const x = uy * vz - uz * vy,
    y = uz * vx - ux * vz,
    z = ux * vy - uy * vx;
  out[0] = x;
  out[1] = y;
  out[2] = z;
  return Math.sqrt(x * x + y * y + z * z);
}

/** Middle of facet `f`, mm. */
export function facetCentre({ positions, triangles }: Mesh, f: number): Place {
  const mean = (i: number): number =>
    [0, 1, 2].reduce((sum, k) => sum + positions[3 * triangles[3 * f + k] + i], 0) / 3;
  return [mean(0), mean(1), mean(2)];
}

/** Place of vertex `v`, mm. */
export const placeOf = (positions: Float64Array, v: number): Place => [
  positions[3 * v],
  positions[3 * v + 1],
  positions[3 * v + 2],
];

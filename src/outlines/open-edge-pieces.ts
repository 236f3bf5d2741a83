import { boundsOf } from '../core/bounds.js';
import { firstWhere } from '../core/first-where.js';
import { distanceBetween } from '../part/facet-geometry.js';
import type { Mesh } from '../part/types.js';

/**
 * Makes the two sides of a crack comparable: vertices of open edges within `crackMm` of each other count as
 * the first of them, and an edge that passes another such vertex within `crackMm` is split there.
 *
 * @param open half-edges
 * @returns (N) vertices where each piece begins and ends, and the half-edge it lies on; edges that shrank to
 *   nothing are left out
 */
export function openEdgePieces(mesh: Mesh, open: readonly number[], crackMm: number) {
  const { triangles, positions } = mesh;
  const end = (h: number) => triangles[h - (h % 3) + ((h + 1) % 3)];
  const along = sortAlongLongest(positions, [...new Set(open.flatMap((h) => [triangles[h], end(h)]))]);
  const rootOf = mergeNear(positions, along, crackMm);
  const roots = { ...along, vertices: along.vertices.filter((v) => rootOf.get(v) === v) };
  const pieces = { from: [] as number[], to: [] as number[], edge: [] as number[] };
  for (const h of open) {
    const a = rootOf.get(triangles[h]) ?? triangles[h],
      b = rootOf.get(end(h)) ?? end(h);
    const stops = [a, ...verticesOn(positions, roots, a, b, crackMm), b];
    for (let i = 0; i + 1 < stops.length; i++) {
      if (stops[i] === stops[i + 1]) continue;
      pieces.from.push(stops[i]);
      pieces.to.push(stops[i + 1]);
      pieces.edge.push(h);
    }
  }
  return pieces;
}

/** Vertices in the order of one coordinate. */
interface Sorted {
  readonly vertices: number[];
  readonly axis: number;
}

function sortAlongLongest(positions: Float64Array, vertices: number[]): Sorted {
  const { min, max } = boundsOf(positions, vertices);
  const extent = max.map((high, i) => high - min[i]);
  const axis = extent.indexOf(Math.max(...extent));
  return {
    vertices: vertices.sort((a, b) => positions[3 * a + axis] - positions[3 * b + axis] || a - b),
    axis,
  };
}

function mergeNear(positions: Float64Array, { vertices, axis }: Sorted, limit: number): Map<number, number> {
  const rootOf = new Map<number, number>();
  vertices.forEach((v, i) => {
    if (rootOf.has(v)) return;
    rootOf.set(v, v);
    for (let j = i + 1; j < vertices.length; j++) {
      const other = vertices[j];
      if (positions[3 * other + axis] - positions[3 * v + axis] > limit) break;
      if (!rootOf.has(other) && distanceBetween(positions, v, other) <= limit) rootOf.set(other, v);
    }
  });
  return rootOf;
}

/** Vertices strictly inside edge (a, b), in order along it. */
function verticesOn(
  positions: Float64Array,
  { vertices, axis }: Sorted,
  a: number,
  b: number,
  limit: number,
): number[] {
  const [ax, ay, az] = [positions[3 * a], positions[3 * a + 1], positions[3 * a + 2]];
  const dx = positions[3 * b] - ax,
    dy = positions[3 * b + 1] - ay,
    dz = positions[3 * b + 2] - az;
  const length = Math.sqrt(dx * dx + dy * dy + dz * dz);
  const low = Math.min(positions[3 * a + axis], positions[3 * b + axis]) - limit;
  const high = Math.max(positions[3 * a + axis], positions[3 * b + axis]) + limit;
  const found: { v: number; t: number }[] = [];
  const first = firstWhere(vertices.length, (i) => positions[3 * vertices[i] + axis] >= low);
  for (let i = first; i < vertices.length; i++) {
    const v = vertices[i];
    if (positions[3 * v + axis] > high) break;
    if (v === a || v === b) continue;
    const px = positions[3 * v] - ax,
      py = positions[3 * v + 1] - ay,
      pz = positions[3 * v + 2] - az;
    const t = (px * dx + py * dy + pz * dz) / length;
    const off = Math.sqrt(Math.max(0, px * px + py * py + pz * pz - t * t));
    if (t > limit && t < length - limit && off <= limit) found.push({ v, t });
  }
  return found.sort((p, q) => p.t - q.t || p.v - q.v).map((one) => one.v);
}

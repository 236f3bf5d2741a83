import { distanceBetween, type Place } from './facet-geometry.js';
import { nextCorner } from './half-edge.js';
import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

/** Places of repairs of one kind, mm. */
export type Stitch = readonly Place[];

/** Share of the shortest edge at a vertex by which it may be moved. */
export const EDGE_SHARE = 0.25;

/**
 * How far each vertex of an open edge may be moved: the tolerance, but at most a quarter of the shortest edge
 * at it.
 *
 * @returns (V) mm; -1 for vertices that are on no open edge
 */
export function vertexTolerances(mesh: Mesh, report: TopologyReport, toleranceMm: number): Float64Array {
  const { positions, triangles } = mesh;
  const limits = new Float64Array(positions.length / 3).fill(-1);
  for (let h = 0; h < triangles.length; h++) {
    if (report.isOpen[h] === 0) continue;
    limits[triangles[h]] = toleranceMm;
    limits[triangles[nextCorner(h)]] = toleranceMm;
  }
  for (let h = 0; h < triangles.length; h++) {
    const u = triangles[h],
      v = triangles[nextCorner(h)];
    if (limits[u] < 0 && limits[v] < 0) continue;
    const limit = EDGE_SHARE * distanceBetween(positions, u, v);
    if (limits[u] > limit) limits[u] = limit;
    if (limits[v] > limit) limits[v] = limit;
  }
  return limits;
}

/** Vertices of open edges, ascending. */
export function openVertices(limits: Float64Array): Uint32Array {
  let count = 0;
  for (let v = 0; v < limits.length; v++) if (limits[v] >= 0) count++;
  const vertices = new Uint32Array(count);
  for (let v = 0, i = 0; v < limits.length; v++) if (limits[v] >= 0) vertices[i++] = v;
  return vertices;
}

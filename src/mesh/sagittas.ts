import { nextCorner } from './half-edge.js';
import type { Mesh, Topology } from './types.js';

/**
 * How far the chord of each edge stands off a concave true surface into free space.
 *
 * A fillet of the cutter's own radius is reached, yet a ball in its true position cuts into every chord by this
 * much. Convex and straight edges get 0: they never stand out. An edge belongs to two facets and takes the larger
 * answer of their normals: the flat end of a fillet ends in chords, too.
 *
 * @param normals (9 F) unit normals of the true surface at the corners
 * @returns (3 F) mm, >= 0, by half-edge. Over a chord `d` along which the normal turns by `a`, changing by `m`, it is
 *   `-m . d tan(a / 4) / (4 sin(a / 2))`: only what the chord spans across the bend counts, for the diagonal of a tall
 *   cylinder's facet runs mostly along it.
 */
export function edgeSagittas(mesh: Mesh, topology: Topology, normals: Float64Array): Float32Array {
  const { positions, triangles } = mesh;
  const sagittas = new Float32Array(triangles.length);
  for (let h = 0; h < sagittas.length; h++) {
    const next = nextCorner(h);
    const a = 3 * triangles[h], b = 3 * triangles[next], i = 3 * h, j = 3 * next;
    const dx = positions[b] - positions[a], dy = positions[b + 1] - positions[a + 1];
    const dz = positions[b + 2] - positions[a + 2];
    const mx = normals[j] - normals[i], my = normals[j + 1] - normals[i + 1], mz = normals[j + 2] - normals[i + 2];
    const bend = mx * dx + my * dy + mz * dz;
    if (bend >= 0) continue;
    const turn = 2 * Math.asin(Math.min(1, 0.5 * Math.sqrt(mx * mx + my * my + mz * mz)));
    const sagitta = (-bend * Math.tan(turn / 4)) / (4 * Math.sin(turn / 2));
    sagittas[h] = Math.max(sagittas[h], sagitta);
    const twin = topology.twin[h];
    if (twin >= 0) sagittas[twin] = Math.max(sagittas[twin], sagitta);
  }
  return sagittas;
}

/** Largest of each facet's three edges, (F) mm. */
export function facetSagittas(edges: Float32Array): Float32Array {
  const facets = new Float32Array(edges.length / 3);
  for (let f = 0; f < facets.length; f++) facets[f] = Math.max(edges[3 * f], edges[3 * f + 1], edges[3 * f + 2]);
  return facets;
}

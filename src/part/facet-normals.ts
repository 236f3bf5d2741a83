import type { Mesh } from './types.js';

/** Geometry of flat facets. */
export interface FacetNormals {
  /** (3 F) unit outward normal; 0, 0, 0 for a facet without area */
  readonly normals: Float64Array;
  /** (F) mm², >= 0 */
  readonly areas: Float64Array;
}

/** Normal and area of each facet, from its vertices (normals stored in a file are never used). */
export function facetNormals(mesh: Mesh): FacetNormals {
  const { positions, triangles } = mesh;
  const count = triangles.length / 3;
  const normals = new Float64Array(3 * count);
  const areas = new Float64Array(count);
  for (let f = 0, h = 0; f < count; f++, h += 3) {
    const a = 3 * triangles[h],
      b = 3 * triangles[h + 1],
      c = 3 * triangles[h + 2];
    const ux = positions[b] - positions[a],
      uy = positions[b + 1] - positions[a + 1];
    const uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a],
      vy = positions[c + 1] - positions[a + 1];
    const vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy,
      ny = uz * vx - ux * vz,
      nz = ux * vy - uy * vx;
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz);
    areas[f] = 0.5 * length;
    if (length === 0) continue;
    normals[h] = nx / length;
    normals[h + 1] = ny / length;
    normals[h + 2] = nz / length;
  }
  return { normals, areas };
}

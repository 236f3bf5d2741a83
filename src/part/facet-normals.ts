import { doubleArea } from './facet-geometry.js';
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
  const count = mesh.triangles.length / 3;
  const normals = new Float64Array(3 * count);
  const areas = new Float64Array(count);
  const n = new Float64Array(3);
  for (let f = 0, h = 0; f < count; f++, h += 3) {
    const length = doubleArea(mesh, f, n);
    areas[f] = 0.5 * length;
    if (length === 0) continue;
    normals[h] = n[0] / length;
    normals[h + 1] = n[1] / length;
    normals[h + 2] = n[2] / length;
  }
  return { normals, areas };
}

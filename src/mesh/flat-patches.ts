import type { FacetNormals } from './facet-normals.js';
import type { Mesh, Topology } from './types.js';

/** Groups of adjoining facets that lie in one plane. */
export interface FlatPatches {
  /** (F) patch of each facet */
  readonly patchOf: Int32Array;
  /** (P) mm² */
  readonly areas: Float64Array;
}

/** Normals this close, in radians, count as one plane: the noise of float32 coordinates on millimetre facets. */
const SAME_PLANE_RAD = 5e-4;
/** A vertex this close to the plane, relative to the part's size, lies in it whatever a sliver's normal says. */
const SAME_PLANE_RELATIVE = 2e-7;

/**
 * Grows each patch from its largest facet, comparing with that seed's plane rather than with the neighbour's:
 * a chain of neighbours would creep around a finely facetted cylinder.
 *
 * @param facets normals and areas of `mesh`
 */
export function flatPatches(mesh: Mesh, topology: Topology, facets: FacetNormals): FlatPatches {
  const { positions, triangles } = mesh;
  const { normals, areas } = facets;
  const count = areas.length;
  const patchOf = new Int32Array(count).fill(-1);
  const order = Array.from({ length: count }, (_, f) => f);
  const sorted = Uint32Array.from(order).sort((p, q) => areas[q] - areas[p] || p - q);
  const patchAreas: number[] = [];
  const stack: number[] = [];
  const offPlane = SAME_PLANE_RELATIVE * partSize(positions);
  for (const seed of sorted) {
    if (patchOf[seed] >= 0) continue;
    const patch = patchAreas.length;
    const nx = normals[3 * seed], ny = normals[3 * seed + 1], nz = normals[3 * seed + 2];
    const o = 3 * triangles[3 * seed];
    const level = nx * positions[o] + ny * positions[o + 1] + nz * positions[o + 2];
    let area = areas[seed];
    patchOf[seed] = patch;
    stack.push(seed);
    while (stack.length > 0) {
      const f = stack.pop() ?? seed;
      for (let k = 0; k < 3; k++) {
        const twin = topology.twin[3 * f + k];
        if (twin < 0) continue;
        const g = (twin / 3) | 0;
        if (patchOf[g] >= 0) continue;
        const dot = nx * normals[3 * g] + ny * normals[3 * g + 1] + nz * normals[3 * g + 2];
        if (dot <= 0) continue;
        if (dot < 1 - 0.5 * SAME_PLANE_RAD * SAME_PLANE_RAD) {
          const v = 3 * triangles[3 * g + ((twin - 3 * g + 2) % 3)];
          const off = nx * positions[v] + ny * positions[v + 1] + nz * positions[v + 2] - level;
          if (Math.abs(off) > offPlane) continue;
        }
        patchOf[g] = patch;
        area += areas[g];
        stack.push(g);
      }
    }
    patchAreas.push(area);
  }
  return { patchOf, areas: Float64Array.from(patchAreas) };
}

/** Largest absolute coordinate: the size that float32 rounding is relative to. */
function partSize(positions: Float64Array): number {
  let size = 0;
  for (let i = 0; i < positions.length; i++) size = Math.max(size, Math.abs(positions[i]));
  return size;
}

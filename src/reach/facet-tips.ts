import type { Mesh } from '../part/types.js';
import { contactTip, type CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { raiseToFacets } from './height-grid.js';

/** Facets with a normal flatter than this, nz, are left to the nodes: these know them well enough. */
const MOST_NZ = 0.7;
/** Upright facets have no width in plan for a cutter to stand over. */
const LEAST_NZ = 1e-6;

/**
 * Raises tip heights over steep ground to where the cutter touches its facets, not only the nodes on them: on
 * a wall of 1° draft nodes a tenth of a millimetre apart lie 6 mm apart on the wall, and the cutter would
 * slip between.
 *
 * A cutter that touches a facet square on has its tip on the facet moved by a constant; so the facets are
 * moved, and rasterised. Every height so found touches the part somewhere, so none is too high. What opens
 * between the moved facets of a convex bend is left to the nodes: strips that close it changed nothing.
 *
 * @param normals (3 F) unit, of facets
 * @param tips (columns x rows) mm, raised
 */
export function raiseByFacets(
  mesh: Mesh,
  normals: Float64Array,
  window: GridWindow,
  profile: CutterProfile,
  tips: Float64Array,
): void {
  const moved = movedFacets(mesh, normals, profile);
  if (moved.triangles.length > 0) raiseToFacets(moved, window, tips);
}

function movedFacets({ positions, triangles }: Mesh, normals: Float64Array, profile: CutterProfile): Mesh {
  const isSteep = (h: number): boolean => normals[h + 2] > LEAST_NZ && normals[h + 2] < MOST_NZ;
  let count = 0;
  for (let h = 0; h < triangles.length; h += 3) if (isSteep(h)) count++;
  const corners = new Float64Array(9 * count),
    tip = new Float64Array(3);
  let at = 0;
  for (let h = 0; h < triangles.length; h += 3) {
    if (!isSteep(h)) continue;
    contactTip(profile, normals[h], normals[h + 1], normals[h + 2], tip);
    for (let k = h; k < h + 3; k++) {
      for (let i = 0; i < 3; i++) corners[at++] = positions[3 * triangles[k] + i] + tip[i];
    }
  }
  return { positions: corners, triangles: new Uint32Array(3 * count).map((_, v) => v) };
}

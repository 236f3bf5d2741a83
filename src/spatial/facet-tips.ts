import { nextCorner } from '../mesh/half-edge.js';
import type { Mesh, Topology } from '../mesh/types.js';
import { contactTip, type CutterProfile } from './cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { raiseToFacets } from './height-grid.js';

/** Facets with a normal flatter than this, nz, are left to the nodes: these know them well enough. */
const MOST_NZ = 0.7;
/** Upright facets have no width in plan for a cutter to stand over. */
const LEAST_NZ = 1e-6;
/**
 * Facets that bend by more, cosine, meet in an edge of the part: the way of the cutter round it is no plane.
 */
const SMOOTH_COS = 0.86;

/**
 * Raises tip heights over steep ground to where the cutter touches its facets, not only the nodes on them: on
 * a wall of 1° draft nodes a tenth of a millimetre apart lie 6 mm apart on the wall, and the cutter would
 * slip between.
 *
 * A cutter that touches a facet square on has its tip on the facet moved by a constant; so the facets are
 * moved, and rasterised. What opens between two moved facets of a convex bend is closed by a strip. Every
 * height so found touches the part somewhere, so none is too high.
 */
export function raiseByFacets(
  mesh: Mesh, topology: Topology, window: GridWindow, profile: CutterProfile, tips: Float64Array,
): void {
  const moved = movedFacets(mesh, topology, profile);
  if (moved.triangles.length > 0) raiseToFacets(moved, window, tips);
}

function movedFacets({ positions, triangles }: Mesh, { twin }: Topology, profile: CutterProfile): Mesh {
  const faces = triangles.length / 3;
  const normals = new Float64Array(triangles.length), tip = new Float64Array(triangles.length);
  const isSteep = new Uint8Array(faces), one = new Float64Array(3);
  let count = 0;
  for (let f = 0, h = 0; f < faces; f++, h += 3) {
    const a = 3 * triangles[h], b = 3 * triangles[h + 1], c = 3 * triangles[h + 2];
    const ux = positions[b] - positions[a], uy = positions[b + 1] - positions[a + 1], uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a], vy = positions[c + 1] - positions[a + 1], vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
    const size = Math.sqrt(nx * nx + ny * ny + nz * nz);
    if (!(nz > LEAST_NZ * size && nz < MOST_NZ * size)) continue;
    isSteep[f] = 1;
    count++;
    normals[h] = nx / size;
    normals[h + 1] = ny / size;
    normals[h + 2] = nz / size;
    tip.set(contactTip(profile, normals[h], normals[h + 1], normals[h + 2], one), h);
  }
  const corners: number[] = [];
  const put = (v: number, f: number): void => {
    for (let i = 0; i < 3; i++) corners.push(positions[3 * v + i] + tip[3 * f + i]);
  };
  for (let f = 0; f < faces && count > 0; f++) {
    if (isSteep[f] === 0) continue;
    for (let h = 3 * f; h < 3 * f + 3; h++) put(triangles[h], f);
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = twin[h] < h ? -1 : (twin[h] / 3) | 0;
      if (g < 0 || isSteep[g] === 0) continue;
      const from = triangles[h], to = triangles[nextCorner(h)];
      let cos = 0, way = 0;
      for (let i = 0; i < 3; i++) {
        cos += normals[3 * f + i] * normals[3 * g + i];
        way += normals[3 * f + i] * (centre(positions, triangles, g, i) - positions[3 * from + i]);
      }
      if (!(cos > SMOOTH_COS && way < 0)) continue;
      put(from, f);
      put(to, f);
      put(from, g);
      put(from, g);
      put(to, f);
      put(to, g);
    }
  }
  return { positions: Float64Array.from(corners), triangles: Uint32Array.from({ length: corners.length / 3 }, (_, i) => i) };
}

function centre(positions: Float64Array, triangles: Uint32Array, f: number, i: number): number {
  return (positions[3 * triangles[3 * f] + i] + positions[3 * triangles[3 * f + 1] + i] + positions[3 * triangles[3 * f + 2] + i]) / 3;
}

import { perCorner, type PerCorner } from '../core/array-types.js';
import { facetNormals } from './facet-normals.js';
import { flatPatches } from './flat-patches.js';
import { EDGE, smoothEdges } from './smooth-edges.js';
import { cornersAtTips } from './tips.js';
import type { Mesh, Topology } from './types.js';

export const SMOOTH_NORMALS_DEFAULTS = { creaseRad: (35 * Math.PI) / 180 } as const;

/**
 * Outward unit normal of the true surface at each corner of each facet.
 *
 * Facets around a vertex that smooth edges join form a group; the group's normal is the mean of its facets'
 * normals with Max's weights, exact when the vertices lie on a sphere. Where a flat face runs tangentially into
 * a curved one, the flat face alone decides: it is exact there, and a wide plane must not be tilted along its
 * rim. Groups end at creases. At the tip of a cone each facet keeps its own.
 *
 * @returns (9 F) unit; the facet's own normal where its group has none; 0, 0, 0 only on a facet without area
 *
 * Source: Max 1999, J. Graphics Tools 4(2):1-6, doi:10.1080/10867651.1999.10487501.
 */
export function smoothNormals(
  mesh: Mesh, topology: Topology, options: { readonly creaseRad: number } = SMOOTH_NORMALS_DEFAULTS,
): PerCorner<Float64Array> {
  const facets = facetNormals(mesh);
  const patches = flatPatches(mesh, topology, facets);
  const kind = smoothEdges(mesh, topology, facets, patches, options.creaseRad);
  const groups = cornerGroups(topology, kind);
  const deciding = decidingCorners(topology, kind, patches.patchOf);
  const count = mesh.triangles.length;
  const all = new Float64Array(3 * count), flat = new Float64Array(3 * count);
  for (let corner = 0; corner < count; corner++) {
    const weight = maxWeight(mesh, corner);
    const f = 3 * ((corner / 3) | 0), g = 3 * groups[corner];
    for (let i = 0; i < 3; i++) {
      all[g + i] += weight * facets.normals[f + i];
      if (deciding[corner]) flat[g + i] += weight * facets.normals[f + i];
    }
  }
  const tips = cornersAtTips(topology, facets.normals, kind, groups, all);
  const normals = new Float64Array(3 * count);
  for (let corner = 0; corner < count; corner++) {
    const g = 3 * groups[corner];
    if (tips[corner]) {
      writeUnit(facets.normals, 3 * ((corner / 3) | 0), normals, 3 * corner);
    } else if (!writeUnit(flat, g, normals, 3 * corner) && !writeUnit(all, g, normals, 3 * corner)) {
      const f = 3 * ((corner / 3) | 0);
      for (let i = 0; i < 3; i++) normals[3 * corner + i] = facets.normals[f + i];
    }
  }
  return perCorner(normals);
}

/** Writes `from[i..i+3]` divided by its length to `to[j..j+3]`; false, writing nothing, if it has no length. */
function writeUnit(from: Float64Array, i: number, to: Float64Array, j: number): boolean {
  const length = Math.sqrt(from[i] * from[i] + from[i + 1] * from[i + 1] + from[i + 2] * from[i + 2]);
  if (!(length > 0)) return false;
  to[j] = from[i] / length;
  to[j + 1] = from[i + 1] / length;
  to[j + 2] = from[i + 2] / length;
  return true;
}

/** Twice the facet's area over the squared lengths of the two edges at the corner. */
function maxWeight(mesh: Mesh, corner: number): number {
  const { positions, triangles } = mesh;
  const f = 3 * ((corner / 3) | 0), k = corner - f;
  const o = 3 * triangles[corner], a = 3 * triangles[f + ((k + 1) % 3)], b = 3 * triangles[f + ((k + 2) % 3)];
  const ux = positions[a] - positions[o], uy = positions[a + 1] - positions[o + 1];
  const uz = positions[a + 2] - positions[o + 2];
  const vx = positions[b] - positions[o], vy = positions[b + 1] - positions[o + 1];
  const vz = positions[b + 2] - positions[o + 2];
  const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
  const lengths = (ux * ux + uy * uy + uz * uz) * (vx * vx + vy * vy + vz * vz);
  return lengths > 0 ? Math.sqrt(x * x + y * y + z * z) / lengths : 0;
}

/** (3 F) a representative corner for each group of corners around a vertex that smooth edges join. */
function cornerGroups(topology: Topology, kind: Uint8Array): Int32Array {
  const parent = Int32Array.from(kind, (_, corner) => corner);
  const find = (corner: number): number => {
    while (parent[corner] !== corner) {
      parent[corner] = parent[parent[corner]];
      corner = parent[corner];
    }
    return corner;
  };
  const join = (a: number, b: number): void => {
    const p = find(a), q = find(b);
    if (p !== q) parent[Math.max(p, q)] = Math.min(p, q);
  };
  for (let h = 0; h < kind.length; h++) {
    const t = topology.twin[h];
    if (t < h || kind[h] === EDGE.crease) continue;
    join(h, nextCorner(t));
    join(nextCorner(h), t);
  }
  for (let corner = 0; corner < parent.length; corner++) parent[corner] = find(corner);
  return parent;
}

const nextCorner = (h: number): number => (h % 3 === 2 ? h - 2 : h + 1);

/** (3 F) 1 at the corners of flat faces that decide their group's normal: at the ends of their tangent edges. */
function decidingCorners(topology: Topology, kind: Uint8Array, patchOf: Int32Array): Uint8Array {
  const deciding = new Uint8Array(kind.length), decided = new Uint8Array(kind.length);
  for (let h = 0; h < kind.length; h++) {
    if (kind[h] !== EDGE.flatHere) continue;
    const t = topology.twin[h];
    markAround(topology, patchOf, h, deciding);
    markAround(topology, patchOf, nextCorner(h), deciding);
    markAround(topology, patchOf, t, decided);
    markAround(topology, patchOf, nextCorner(t), decided);
  }
  // A facet that is itself ruled by a wider flat face at this vertex does not rule others.
  for (let corner = 0; corner < deciding.length; corner++) if (decided[corner]) deciding[corner] = 0;
  return deciding;
}

/** Marks the corner and those of its patch's facets that share its vertex, walking both ways round. */
function markAround(topology: Topology, patchOf: Int32Array, corner: number, marks: Uint8Array): void {
  const patch = patchOf[(corner / 3) | 0];
  marks[corner] = 1;
  for (let c = topology.twin[prevCorner(corner)]; c >= 0 && c !== corner; c = topology.twin[prevCorner(c)]) {
    if (patchOf[(c / 3) | 0] !== patch) break;
    marks[c] = 1;
  }
  for (let t = topology.twin[corner]; t >= 0; t = topology.twin[nextCorner(t)]) {
    const c = nextCorner(t);
    if (c === corner || patchOf[(c / 3) | 0] !== patch) break;
    marks[c] = 1;
  }
}

const prevCorner = (h: number): number => (h % 3 === 0 ? h + 2 : h - 1);

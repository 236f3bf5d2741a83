import { perCorner, type PerCorner } from '../core/array-types.js';
import { facetNormals } from './facet-normals.js';
import { flatPatches } from './flat-patches.js';
import { nextCorner, prevCorner } from './half-edge.js';
import { EDGE, smoothEdges } from './smooth-edges.js';
import { cornersAtTips } from './tips.js';
import type { Mesh, Topology } from './types.js';

export const SMOOTH_NORMALS_DEFAULTS = { creaseRad: (35 * Math.PI) / 180 } as const;

/** Faces that run flat into others at a vertex decide together where none is as many times as large as another. */
const LARGE_RATIO = 8;

/**
 * Outward unit normal of the true surface at each corner of each facet.
 *
 * Facets around a vertex that smooth edges join form a group; the group's normal is the mean of its facets'
 * normals with Max's weights, exact when the vertices lie on a sphere. Where a flat face runs tangentially
 * into a curved one, the flat face alone decides: it is exact there, and a wide plane must not be tilted
 * along its rim. Groups end at creases. At the tip of a cone each facet keeps its own.
 *
 * @returns (9 F) unit; the facet's own normal where its group has none; 0, 0, 0 only on a facet without area
 *
 * Source: Max 1999, J. Graphics Tools 4(2):1-6, doi:10.1080/10867651.1999.10487501.
 */
export function smoothNormals(
  mesh: Mesh,
  topology: Topology,
  options: { readonly creaseRad: number } = SMOOTH_NORMALS_DEFAULTS,
): PerCorner<Float64Array> {
  const facets = facetNormals(mesh);
  const patches = flatPatches(mesh, topology, facets);
  const kind = smoothEdges(mesh, topology, facets, patches, options.creaseRad);
  const groups = cornerGroups(topology, kind);
  const deciding = decidingCorners(topology, kind, patches.patchOf);
  const all = new Float64Array(3 * groups.count),
    flat = new Float64Array(deciding ? all.length : 0);
  // Slivers may run flat into others; no more than a face decides where a face does.
  const areaAt = (corner: number): number => patches.areas[patches.patchOf[(corner / 3) | 0]];
  const widest = new Float64Array(deciding ? groups.count : 0);
  deciding?.forEach((is, corner) => {
    if (is) widest[groups.of[corner]] = Math.max(widest[groups.of[corner]], areaAt(corner));
  });
  for (let corner = 0; corner < groups.of.length; corner++) {
    const f = corner - (corner % 3),
      g = 3 * groups.of[corner];
    const weight = maxWeight(mesh, corner);
    const x = weight * facets.normals[f],
      y = weight * facets.normals[f + 1],
      z = weight * facets.normals[f + 2];
    all[g] += x;
    all[g + 1] += y;
    all[g + 2] += z;
    if (deciding === null || deciding[corner] === 0) continue;
    if (LARGE_RATIO * areaAt(corner) < widest[groups.of[corner]]) continue;
    flat[g] += x;
    flat[g + 1] += y;
    flat[g + 2] += z;
  }
  const tips = cornersAtTips(topology, facets.normals, kind, groups.of, all);
  const normals = new Float64Array(3 * groups.of.length);
  for (let corner = 0; corner < groups.of.length; corner++) {
    const f = corner - (corner % 3),
      g = 3 * groups.of[corner],
      to = 3 * corner;
    const isFlat = tips[corner] === 0 && deciding !== null && writeUnit(flat, g, normals, to);
    if (isFlat || (tips[corner] === 0 && writeUnit(all, g, normals, to))) continue;
    normals[to] = facets.normals[f];
    normals[to + 1] = facets.normals[f + 1];
    normals[to + 2] = facets.normals[f + 2];
  }
  return perCorner(normals);
}

/**
 * Writes `from[i..i+3]` divided by its length to `to[j..j+3]`; false, writing nothing, if it has no length.
 */
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
  const o = 3 * triangles[corner],
    a = 3 * triangles[nextCorner(corner)],
    b = 3 * triangles[prevCorner(corner)];
  const ux = positions[a] - positions[o],
    uy = positions[a + 1] - positions[o + 1];
  const uz = positions[a + 2] - positions[o + 2];
  const vx = positions[b] - positions[o],
    vy = positions[b + 1] - positions[o + 1];
  const vz = positions[b + 2] - positions[o + 2];
  const x = uy * vz - uz * vy,
    y = uz * vx - ux * vz,
    z = ux * vy - uy * vx;
  const lengths = (ux * ux + uy * uy + uz * uz) * (vx * vx + vy * vy + vz * vz);
  return lengths > 0 ? Math.sqrt(x * x + y * y + z * z) / lengths : 0;
}

/** Corners around a vertex that smooth edges join. */
interface CornerGroups {
  /** (3 F) group of each corner, numbered in the order of the lowest corner */
  readonly of: Int32Array;
  readonly count: number;
}

function cornerGroups({ twin }: Topology, kind: Uint8Array): CornerGroups {
  const of = new Int32Array(kind.length).fill(-1);
  let count = 0;
  for (let corner = 0; corner < of.length; corner++) {
    if (of[corner] >= 0) continue;
    const group = count++;
    of[corner] = group;
    // Each corner has one neighbour across the edge that leaves its vertex, one across the edge that arrives.
    // biome-ignore lint/suspicious/noAssignInExpressions: the walk steps on and asks in one condition.
    for (let c = corner; kind[c] !== EDGE.crease && of[(c = nextCorner(twin[c]))] < 0; ) of[c] = group;
    // biome-ignore lint/suspicious/noAssignInExpressions: the walk steps on and asks in one condition.
    for (let c = corner; kind[prevCorner(c)] !== EDGE.crease && of[(c = twin[prevCorner(c)])] < 0; )
      of[c] = group;
  }
  return { of, count };
}

/**
 * (3 F) 1 at the corners of flat faces that decide their group's normal: at the ends of their tangent edges.
 * Null where no flat face runs into a curved one.
 */
function decidingCorners({ twin }: Topology, kind: Uint8Array, patchOf: Int32Array): Uint8Array | null {
  if (!kind.includes(EDGE.flatHere)) return null;
  const deciding = new Uint8Array(kind.length),
    decided = new Uint8Array(kind.length);
  for (let h = 0; h < kind.length; h++) {
    if (kind[h] !== EDGE.flatHere) continue;
    const t = twin[h];
    markAround(twin, patchOf, h, deciding);
    markAround(twin, patchOf, nextCorner(h), deciding);
    markAround(twin, patchOf, t, decided);
    markAround(twin, patchOf, nextCorner(t), decided);
  }
  // A facet that is itself ruled by a wider flat face at this vertex does not rule others.
  for (let corner = 0; corner < deciding.length; corner++) if (decided[corner]) deciding[corner] = 0;
  return deciding;
}

/** Marks the corner and those of its patch's facets that share its vertex, walking both ways round. */
function markAround(twin: Int32Array, patchOf: Int32Array, corner: number, marks: Uint8Array): void {
  const patch = patchOf[(corner / 3) | 0];
  marks[corner] = 1;
  for (let c = twin[prevCorner(corner)]; c >= 0 && c !== corner; c = twin[prevCorner(c)]) {
    if (patchOf[(c / 3) | 0] !== patch) break;
    marks[c] = 1;
  }
  for (let t = twin[corner]; t >= 0; t = twin[nextCorner(t)]) {
    const c = nextCorner(t);
    if (c === corner || patchOf[(c / 3) | 0] !== patch) break;
    marks[c] = 1;
  }
}

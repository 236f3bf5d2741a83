import { nextCorner } from './half-edge.js';
import type { Mesh, Topology } from './types.js';

/**
 * A part's facets and the unit normals of the true surface at their corners (9 F), from `normalsToCreases`.
 */
export interface SmoothPart {
  readonly mesh: Mesh;
  readonly normals: Float64Array;
}

/**
 * How far the middle of a chord d stands out of the surface whose normal changes by m from one end to the
 * other, mm: positive on concave ground, negative on convex.
 *
 * Over a chord along which the normal turns by `a` it is `-m . d tan(a / 4) / (4 sin(a / 2))`: only what the
 * chord spans across the bend counts, for the diagonal of a tall cylinder's facet runs mostly along it.
 */
export function chordSagitta(dx: number, dy: number, dz: number, mx: number, my: number, mz: number): number {
  const bend = mx * dx + my * dy + mz * dz;
  if (bend === 0) return 0;
  const turn = 2 * Math.asin(Math.min(1, 0.5 * Math.sqrt(mx * mx + my * my + mz * mz)));
  return (-bend * Math.tan(turn / 4)) / (4 * Math.sin(turn / 2));
}

/**
 * How far the chord of each edge stands off a concave true surface into free space.
 *
 * A fillet of the cutter's own radius is reached, yet a ball in its true position cuts into every chord by
 * this much. Convex and straight edges get 0: they never stand out. An edge belongs to two facets and takes
 * the larger answer of their normals: the flat end of a fillet ends in chords, too.
 *
 * @param normals (9 F) unit normals of the true surface at the corners
 * @returns (3 F) mm, >= 0, by half-edge
 */
export function edgeSagittas(mesh: Mesh, { twin }: Topology, normals: Float64Array): Float32Array {
  const sagittas = new Float32Array(mesh.triangles.length);
  for (let h = 0; h < sagittas.length; h++) {
    const sagitta = sagittaOf(mesh, normals, h);
    if (!(sagitta > 0)) continue;
    sagittas[h] = Math.max(sagittas[h], sagitta);
    if (twin[h] >= 0) sagittas[twin[h]] = Math.max(sagittas[twin[h]], sagitta);
  }
  return sagittas;
}

/**
 * On an arc the normals of both ends lean from the chord alike. Where they differ so much that one end hardly
 * leans, the surface bends beside the other end, in the rounding of a wall's edge perhaps, and the chord lies
 * in it.
 */
const ALIKE = 0.5;

function sagittaOf({ positions, triangles }: Mesh, normals: Float64Array, h: number): number {
  const next = nextCorner(h);
  const a = 3 * triangles[h],
    b = 3 * triangles[next],
    i = 3 * h,
    j = 3 * next;
  const dx = positions[b] - positions[a],
    dy = positions[b + 1] - positions[a + 1],
    dz = positions[b + 2] - positions[a + 2];
  const here = normals[i] * dx + normals[i + 1] * dy + normals[i + 2] * dz;
  const there = normals[j] * dx + normals[j + 1] * dy + normals[j + 2] * dz;
  if (here * there >= 0) return 0;
  const share = (2 * Math.min(Math.abs(here), Math.abs(there))) / (Math.abs(here) + Math.abs(there));
  return (
    Math.min(1, share / ALIKE) *
    chordSagitta(
      dx,
      dy,
      dz,
      normals[j] - normals[i],
      normals[j + 1] - normals[i + 1],
      normals[j + 2] - normals[i + 2],
    )
  );
}

/**
 * The place of the true surface over a point of facet f, and its normal there. How far a facet stands out of
 * the surface is taken as of second degree over its three chords: 0 at the corners, which lie on it.
 *
 * @param x of a point in the facet, mm
 * @param out (6) position, mm, and unit normal
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one patch at a point; its sums are locals.
export function onTrueSurface(
  { mesh, normals }: SmoothPart,
  f: number,
  x: number,
  y: number,
  z: number,
  out: Float64Array,
): void {
  const { positions, triangles } = mesh;
  const h = 3 * f,
    o = 3 * triangles[h],
    p = 3 * triangles[h + 1],
    q = 3 * triangles[h + 2],
    n = 9 * f;
  const ux = positions[p] - positions[o],
    uy = positions[p + 1] - positions[o + 1],
    uz = positions[p + 2] - positions[o + 2];
  const vx = positions[q] - positions[o],
    vy = positions[q + 1] - positions[o + 1],
    vz = positions[q + 2] - positions[o + 2];
  const dx = x - positions[o],
    dy = y - positions[o + 1],
    dz = z - positions[o + 2];
  const uu = ux * ux + uy * uy + uz * uz,
    uv = ux * vx + uy * vy + uz * vz,
    vv = vx * vx + vy * vy + vz * vz;
  const du = dx * ux + dy * uy + dz * uz,
    dv = dx * vx + dy * vy + dz * vz;
  const det = uu * vv - uv * uv;
  const regular = det > 1e-12 * uu * vv;
  const b = regular ? (vv * du - uv * dv) / det : 0,
    c = regular ? (uu * dv - uv * du) / det : 0,
    a = 1 - b - c;
  const rise =
    4 *
    (sagittaOf(mesh, normals, h) * a * b +
      sagittaOf(mesh, normals, h + 1) * b * c +
      sagittaOf(mesh, normals, h + 2) * c * a);
  const nx = a * normals[n] + b * normals[n + 3] + c * normals[n + 6];
  const ny = a * normals[n + 1] + b * normals[n + 4] + c * normals[n + 7];
  const nz = a * normals[n + 2] + b * normals[n + 5] + c * normals[n + 8];
  const length = Math.sqrt(nx * nx + ny * ny + nz * nz);
  const unit = length > 0 ? 1 / length : 0;
  out[0] = x - rise * nx * unit;
  out[1] = y - rise * ny * unit;
  out[2] = z - rise * nz * unit;
  out[3] = nx * unit;
  out[4] = ny * unit;
  out[5] = nz * unit;
}

/** Largest of each facet's three edges, (F) mm. */
export function facetSagittas(edges: Float32Array): Float32Array {
  const facets = new Float32Array(edges.length / 3);
  for (let f = 0; f < facets.length; f++)
    facets[f] = Math.max(edges[3 * f], edges[3 * f + 1], edges[3 * f + 2]);
  return facets;
}

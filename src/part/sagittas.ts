import { listsByKey } from '../core/lists.js';
import { nextCorner } from './half-edge.js';
import type { Mesh, Surface } from './types.js';

/** A part's facets and the true surface that they stand for. */
export interface SmoothPart {
  readonly mesh: Mesh;
  /** (9 F) unit normals of the true surface at the facets' corners, from `normalsToCreases` */
  readonly normals: Float64Array;
  /** (3 F) see `Topology` */
  readonly twin: Int32Array;
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
 * On an arc the normals of both ends lean from the chord alike. Where they differ so much that one end hardly
 * leans, the surface bends beside the other end, in the rounding of a wall's edge perhaps, and the chord lies
 * in it.
 */
const ALIKE = 0.5;

/**
 * How far the middle of a chord d stands out of the surface whose unit normals at its ends are m and n, mm: positive
 * on concave ground, negative on convex.
 */
export function bendOf(
  dx: number,
  dy: number,
  dz: number,
  mx: number,
  my: number,
  mz: number,
  nx: number,
  ny: number,
  nz: number,
): number {
  const here = mx * dx + my * dy + mz * dz;
  const there = nx * dx + ny * dy + nz * dz;
  if (here * there >= 0) return 0;
  const share = (2 * Math.min(Math.abs(here), Math.abs(there))) / (Math.abs(here) + Math.abs(there));
  return Math.min(1, share / ALIKE) * chordSagitta(dx, dy, dz, nx - mx, ny - my, nz - mz);
}

/** The same of half-edge h of a part, on the side of its own facet. */
export function sagittaOf({ mesh: { positions, triangles }, normals }: SmoothPart, h: number): number {
  const next = nextCorner(h);
  const a = 3 * triangles[h],
    b = 3 * triangles[next],
    m = 3 * h,
    n = 3 * next;
  return bendOf(
    positions[b] - positions[a],
    positions[b + 1] - positions[a + 1],
    positions[b + 2] - positions[a + 2],
    normals[m],
    normals[m + 1],
    normals[m + 2],
    normals[n],
    normals[n + 1],
    normals[n + 2],
  );
}

/**
 * How far a point of a facet stands out of the surface, mm, if its three chords do so by s, t and u: of second degree
 * in the shares a, b and c of the corners, at which it is 0.
 */
export const riseOver = (s: number, t: number, u: number, a: number, b: number, c: number): number =>
  4 * (s * a * b + t * b * c + u * c * a);

/**
 * The place of the true surface over a point of facet f, and its normal there.
 *
 * @param x of a point in the facet, mm
 * @param out (6) position, mm, and unit normal
 * @param s of the facet's first chord, t and u of the next: whoever asks for many points knows them
 */
export function onTrueSurface(
  part: SmoothPart,
  f: number,
  x: number,
  y: number,
  z: number,
  out: Float64Array,
  s = sagittaOf(part, 3 * f),
  t = sagittaOf(part, 3 * f + 1),
  u = sagittaOf(part, 3 * f + 2),
): void {
  const {
    mesh: { positions, triangles },
    normals,
  } = part;
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
  const rise = riseOver(s, t, u, a, b, c);
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

/** Sweeps over the sides of a vertex: where two meet squarely one does. */
const SWEEPS = 6;
/** As good as on the surface, mm. */
const ON_SURFACE_MM = 1e-5;

/**
 * Where the vertices of a surface truly lie: each moved so far along the normal of every side of it as that side
 * says, on an edge between two surfaces onto both.
 *
 * @returns (3 V) mm
 */
export function truePlaces({ mesh, parent }: Surface, part: SmoothPart): Float64Array {
  const { positions, triangles } = mesh;
  const out = positions.slice(),
    places: Float64Array[] = [];
  const { start, items } = listsByKey(triangles, positions.length / 3);
  for (let v = 0; v + 1 < start.length; v++) {
    const sides = start[v + 1] - start[v];
    for (let i = 0; i < sides; i++) {
      places[i] ??= new Float64Array(6);
      const f = parent[(items[start[v] + i] / 3) | 0];
      onTrueSurface(part, f, positions[3 * v], positions[3 * v + 1], positions[3 * v + 2], places[i]);
    }
    for (let sweep = 0, most = Infinity; sweep < SWEEPS && most >= ON_SURFACE_MM; sweep++) {
      most = 0;
      for (let i = 0; i < sides; i++) most = Math.max(most, Math.abs(moveOnto(places[i], out, 3 * v)));
    }
  }
  return out;
}

/** Moves the point at index i into the plane of a place and its normal; how far it was off, mm. */
function moveOnto(place: Float64Array, points: Float64Array, i: number): number {
  let off = 0;
  for (let k = 0; k < 3; k++) off += (points[i + k] - place[k]) * place[3 + k];
  for (let k = 0; k < 3; k++) points[i + k] -= off * place[3 + k];
  return off;
}

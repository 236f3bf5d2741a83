import { nextCorner, prevCorner } from '../mesh/half-edge.js';
import type { Mesh, Topology } from '../mesh/types.js';
import { profileHeight, type CutterProfile } from './cutter-profile.js';
import type { GridWindow } from './grid-window.js';

/** Points along the upper edges of steep walls, which a lattice of nodes knows only to half a pitch. */
export interface WallRims {
  /** (3 P) mm */
  readonly points: Float64Array;
  /** (2 P) unit direction in plan, from the wall into the free space before it */
  readonly outward: Float64Array;
  /** (P) 1 where the edge ends: there the free side may turn, and no one direction will do */
  readonly ends: Uint8Array;
  /** (P) 1 at the first point of each edge; the points of an edge follow one another */
  readonly starts: Uint8Array;
}

/** A facet counts as a wall if the z component of its unit normal is below this: steeper than 84°. */
const WALL_NZ = 0.1;

/**
 * Samples every convex edge between a wall and something less steep, at most half a pitch apart. Edges longer
 * than two pitches are marked at their ends.
 */
export function wallRims(mesh: Mesh, topology: Topology, pitchMm: number): WallRims {
  const { positions, triangles } = mesh;
  const normals = unitNormals(mesh);
  const points: number[] = [], outward: number[] = [], ends: number[] = [], starts: number[] = [];
  for (let h = 0; h < triangles.length; h++) {
    const f = Math.floor(h / 3), twin = topology.twin[h];
    if (twin < 0 || !(Math.abs(normals[3 * f + 2]) < WALL_NZ)) continue;
    const g = Math.floor(twin / 3);
    if (normals[3 * g + 2] < WALL_NZ) continue;
    const a = 3 * triangles[h], b = 3 * triangles[nextCorner(h)];
    const third = 3 * triangles[prevCorner(twin)];
    // Convex: the other facet falls behind the wall's plane.
    if (normals[3 * f] * (positions[third] - positions[a])
      + normals[3 * f + 1] * (positions[third + 1] - positions[a + 1])
      + normals[3 * f + 2] * (positions[third + 2] - positions[a + 2]) >= 0) continue;
    const dx = positions[b] - positions[a], dy = positions[b + 1] - positions[a + 1];
    const dz = positions[b + 2] - positions[a + 2];
    const length = Math.sqrt(dx * dx + dy * dy);
    const pieces = Math.max(1, Math.ceil((2 * length) / pitchMm));
    const scale = 1 / Math.sqrt(normals[3 * f] ** 2 + normals[3 * f + 1] ** 2);
    for (let s = 0; s <= pieces; s++) {
      const t = s / pieces;
      points.push(positions[a] + t * dx, positions[a + 1] + t * dy, positions[a + 2] + t * dz);
      outward.push(normals[3 * f] * scale, normals[3 * f + 1] * scale);
      starts.push(s === 0 ? 1 : 0);
      ends.push(length > 2 * pitchMm && (s === 0 || s === pieces) ? 1 : 0);
    }
  }
  return {
    points: Float64Array.from(points), outward: Float64Array.from(outward),
    ends: Uint8Array.from(ends), starts: Uint8Array.from(starts),
  };
}

/** (3 F) unit normals; NaN for facets without area. */
function unitNormals({ positions, triangles }: Mesh): Float64Array {
  const out = new Float64Array(triangles.length);
  for (let h = 0; h < triangles.length; h += 3) {
    const a = 3 * triangles[h], b = 3 * triangles[h + 1], c = 3 * triangles[h + 2];
    const ux = positions[b] - positions[a], uy = positions[b + 1] - positions[a + 1];
    const uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a], vy = positions[c + 1] - positions[a + 1];
    const vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
    const scale = 1 / Math.sqrt(nx * nx + ny * ny + nz * nz);
    out[h] = nx * scale;
    out[h + 1] = ny * scale;
    out[h + 2] = nz * scale;
  }
  return out;
}

/** Raises tip heights by the rims: exact distances in place of those to the nearest node. */
export function raiseByRims(rims: WallRims, window: GridWindow, profile: CutterProfile, tips: Float64Array): void {
  const { points, outward, ends } = rims;
  for (let p = 0; p < ends.length; p++) {
    const z = points[3 * p + 2];
    visitFan(
      window, profile, points[3 * p], points[3 * p + 1], outward[2 * p], outward[2 * p + 1], ends[p] === 1,
      (k, g) => { if (z - g > tips[k]) tips[k] = z - g; },
    );
  }
}

/**
 * Lowers cleared heights by the axes that touch a wall: those lie between nodes, DC/2 before the rims. Their tip heights
 * are carried on from the free side, where the tips change smoothly.
 */
export function lowerByWallAxes(
  rims: WallRims, window: GridWindow, profile: CutterProfile, tips: Float64Array, cleared: Float64Array,
): void {
  const { points, outward, ends } = rims;
  const reach = profile.radiusMm, pitch = window.pitchMm;
  for (let p = 0; p < ends.length; p++) {
    const nx = outward[2 * p], ny = outward[2 * p + 1];
    const x = points[3 * p] + reach * nx, y = points[3 * p + 1] + reach * ny;
    const near = tipBetween(window, tips, x + 1.5 * pitch * nx, y + 1.5 * pitch * ny);
    const far = tipBetween(window, tips, x + 3 * pitch * nx, y + 3 * pitch * ny);
    if (!(near < points[3 * p + 2])) continue;
    // A second wall behind: nothing to carry on.
    const tip = Math.abs(near - far) > 3 * pitch ? near : 2 * near - far;
    visitFan(window, profile, x, y, -nx, -ny, ends[p] === 1, (k, g) => { if (tip + g < cleared[k]) cleared[k] = tip + g; });
  }
}

/** Bilinear tip height, mm; `Infinity` beside the window or next to nothing. */
export function tipBetween(window: GridWindow, tips: Float64Array, xMm: number, yMm: number): number {
  const x = (xMm - window.originXMm) / window.pitchMm, y = (yMm - window.originYMm) / window.pitchMm;
  const i = Math.floor(x), j = Math.floor(y);
  if (!(i >= 0 && j >= 0 && i + 1 < window.columns && j + 1 < window.rows)) return Infinity;
  const k = j * window.columns + i, s = x - i, t = y - j;
  const z = (1 - t) * ((1 - s) * tips[k] + s * tips[k + 1])
    + t * ((1 - s) * tips[k + window.columns] + s * tips[k + window.columns + 1]);
  return Number.isFinite(z) ? z : Infinity;
}

/** Visits the nodes within DC/2 of a point: all of them, or those in a strip three pitches wide along a direction. */
export function visitFan(
  window: GridWindow, profile: CutterProfile, xMm: number, yMm: number, nx: number, ny: number, all: boolean,
  visit: (k: number, g: number) => void,
): void {
  const { columns, rows, pitchMm } = window;
  const reach = profile.radiusMm / pitchMm;
  const x = (xMm - window.originXMm) / pitchMm, y = (yMm - window.originYMm) / pitchMm;
  const offer = (i: number, j: number): void => {
    if (i < 0 || j < 0 || i >= columns || j >= rows) return;
    const g = profileHeight(profile, pitchMm * Math.sqrt((i - x) ** 2 + (j - y) ** 2));
    if (g < Infinity) visit(j * columns + i, g);
  };
  if (all) {
    for (let j = Math.ceil(y - reach); j <= y + reach; j++) {
      for (let i = Math.ceil(x - reach); i <= x + reach; i++) offer(i, j);
    }
    return;
  }
  let last = NaN;
  for (let s = 0; s <= reach + 0.5; s += 0.5) {
    const i = Math.round(x + s * nx), j = Math.round(y + s * ny);
    if (j * columns + i === last) continue;
    last = j * columns + i;
    for (let v = j - 1; v <= j + 1; v++) for (let u = i - 1; u <= i + 1; u++) offer(u, v);
  }
}

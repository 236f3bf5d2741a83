import { tick, type Context } from '../core/context.js';
import { nextCorner } from '../part/half-edge.js';
import type { Mesh, Topology } from '../part/types.js';
import { loadTriangle, SEAM, type GridTriangle } from './height-grid.js';
import type { GridWindow } from './grid-window.js';

/** Sure bounds of the part's height over each closed cell; see `HeightGrid`. */
export interface CellBounds {
  readonly upper: Float64Array;
  readonly lower: Float64Array;
}

/** Part of a facet within one row of cells: its extent in x (grid units) and z (mm). */
interface Strip {
  least: number;
  most: number;
  lowest: number;
  highest: number;
}

/** Plane of a facet over the lattice, z = z0 + gx (x - x0) + gy (y - y0), in grid units and mm. */
interface Plane {
  x0: number;
  y0: number;
  z0: number;
  gx: number;
  gy: number;
  /** False where the facet is too steep or too thin for its plane to say anything sure. */
  usable: boolean;
}

/**
 * Why the bounds hold. Upper: a row of cells cuts a convex strip out of a facet, and the cells it meets are
 * those of the strip's extent in x; over each of them the facet is no higher than the strip's highest point,
 * nor than its plane anywhere over the cell. Lower: call a facet upper if it lists its corners
 * counter-clockwise in plan. Where upper facets cover a point, the part is at least as high as the lowest of
 * them. The covered region ends only on edges of upper facets whose other side is not an upper facet, so a
 * cell that meets an upper facet and none of those edges is covered whole. All other cells get `-Infinity`.
 */
export function cellBounds(
  mesh: Mesh,
  topology: Topology,
  window: GridWindow,
  context: Context = {},
): CellBounds {
  const { columns, rows } = window;
  const upper = new Float64Array(columns * rows).fill(-Infinity);
  const lower = new Float64Array(columns * rows).fill(Infinity);
  const count = mesh.triangles.length / 3;
  const isUpper = new Uint8Array(count);
  const triangle: GridTriangle = { x: new Float64Array(3), y: new Float64Array(3), z: new Float64Array(3) };
  const plane: Plane = { x0: 0, y0: 0, z0: 0, gx: 0, gy: 0, usable: false };
  for (let f = 0; f < count; f++) {
    if ((f & 0xffff) === 0) tick(context, 'height grid', f / count);
    const area = loadTriangle(mesh, window, f, triangle);
    isUpper[f] = area > 0 ? 1 : 0;
    boundFacet(triangle, plane, area > 0, columns, rows, upper, lower);
  }
  uncoverBorders(mesh, topology, isUpper, window, lower);
  for (let k = 0; k < lower.length; k++) if (lower[k] === Infinity) lower[k] = -Infinity;
  return { upper, lower };
}

function boundFacet(
  triangle: GridTriangle,
  plane: Plane,
  isUpper: boolean,
  columns: number,
  rows: number,
  upper: Float64Array,
  lower: Float64Array,
): void {
  const { x, y, z } = triangle;
  const lowest = Math.min(z[0], z[1], z[2]),
    highest = Math.max(z[0], z[1], z[2]);
  const least = Math.min(x[0], x[1], x[2]),
    most = Math.max(x[0], x[1], x[2]);
  const firstRow = Math.max(0, Math.ceil(y[0] - 0.5 - SEAM));
  const lastRow = Math.min(rows - 1, Math.floor(y[2] + 0.5 + SEAM));
  const firstColumn = Math.max(0, Math.ceil(least - 0.5 - SEAM));
  const lastColumn = Math.min(columns - 1, Math.floor(most + 0.5 + SEAM));
  if (firstRow === lastRow && firstColumn === lastColumn) {
    const k = firstRow * columns + firstColumn;
    if (highest > upper[k]) upper[k] = highest;
    if (isUpper && lowest < lower[k]) lower[k] = lowest;
    return;
  }
  const strip: Strip = { least, most, lowest, highest };
  setPlane(triangle, plane);
  const slack = 1e-8 * (highest - lowest + Math.abs(plane.gx) + Math.abs(plane.gy));
  const half = (Math.abs(plane.gx) + Math.abs(plane.gy)) / 2 + slack;
  for (let row = firstRow; row <= lastRow; row++) {
    cutStrip(triangle, row - 0.5 - SEAM, row + 0.5 + SEAM, strip);
    const first = Math.max(0, Math.ceil(strip.least - 0.5 - SEAM));
    const last = Math.min(columns - 1, Math.floor(strip.most + 0.5 + SEAM));
    const base = plane.z0 + plane.gy * (row - plane.y0);
    for (let column = first; column <= last; column++) {
      const k = row * columns + column;
      // On a nearly upright facet the slack of its plane is huge, but nowhere does it leave its own heights.
      let top = Math.min(highest, strip.highest + slack),
        bottom = Math.max(lowest, strip.lowest - slack);
      if (plane.usable) {
        const middle = base + plane.gx * (column - plane.x0);
        if (middle + half < top) top = middle + half;
        if (middle - half > bottom) bottom = middle - half;
      }
      if (top > upper[k]) upper[k] = top;
      if (isUpper && bottom < lower[k]) lower[k] = bottom;
    }
  }
}

function setPlane(triangle: GridTriangle, plane: Plane): void {
  const { x, y, z } = triangle;
  const ax = x[1] - x[0],
    ay = y[1] - y[0],
    az = z[1] - z[0];
  const bx = x[2] - x[0],
    by = y[2] - y[0],
    bz = z[2] - z[0];
  const area = ax * by - bx * ay;
  // The area loses at most 2^-52 of the product, so above 1e-7 of it the plane is good to 1e-8.
  plane.usable = Math.abs(area) > 1e-7 * Math.sqrt((ax * ax + ay * ay) * (bx * bx + by * by));
  plane.x0 = x[0];
  plane.y0 = y[0];
  plane.z0 = z[0];
  plane.gx = plane.usable ? (az * by - bz * ay) / area : 0;
  plane.gy = plane.usable ? (bz * ax - az * bx) / area : 0;
}

/** Extent of the part of a triangle between two values of y: that of the clipped edges. */
function cutStrip(triangle: GridTriangle, from: number, to: number, out: Strip): void {
  out.least = Infinity;
  out.most = -Infinity;
  out.lowest = Infinity;
  out.highest = -Infinity;
  const { x, y, z } = triangle;
  for (let a = 0; a < 3; a++) {
    const b = a === 2 ? 0 : a + 1;
    extendByEdge(x[a], y[a], z[a], x[b], y[b], z[b], from, to, out);
  }
}

function extendByEdge(
  ax: number,
  ay: number,
  az: number,
  bx: number,
  by: number,
  bz: number,
  from: number,
  to: number,
  out: Strip,
): void {
  if (Math.max(ay, by) < from || Math.min(ay, by) > to) return;
  const rise = by - ay;
  let start = 0,
    end = 1;
  if (rise !== 0) {
    const atFrom = (from - ay) / rise,
      atTo = (to - ay) / rise;
    start = Math.max(0, Math.min(atFrom, atTo));
    end = Math.min(1, Math.max(atFrom, atTo));
  }
  const startX = ax + start * (bx - ax),
    endX = ax + end * (bx - ax);
  const startZ = az + start * (bz - az),
    endZ = az + end * (bz - az);
  out.least = Math.min(out.least, startX, endX);
  out.most = Math.max(out.most, startX, endX);
  out.lowest = Math.min(out.lowest, startZ, endZ);
  out.highest = Math.max(out.highest, startZ, endZ);
}

/** Takes the lower bound from all cells that meet an edge where the upper facets may end. */
function uncoverBorders(
  mesh: Mesh,
  topology: Topology,
  isUpper: Uint8Array,
  window: GridWindow,
  lower: Float64Array,
): void {
  const { positions, triangles } = mesh;
  const { columns, rows } = window;
  const strip: Strip = { least: 0, most: 0, lowest: 0, highest: 0 };
  const scale = 1 / window.pitchMm;
  for (let h = 0; h < triangles.length; h++) {
    const f = Math.floor(h / 3),
      twin = topology.twin[h];
    if (!isUpper[f] || (twin >= 0 && isUpper[Math.floor(twin / 3)])) continue;
    const p = 3 * triangles[h],
      q = 3 * triangles[nextCorner(h)];
    const ax = (positions[p] - window.originXMm) * scale,
      ay = (positions[p + 1] - window.originYMm) * scale;
    const bx = (positions[q] - window.originXMm) * scale,
      by = (positions[q + 1] - window.originYMm) * scale;
    const firstRow = Math.max(0, Math.ceil(Math.min(ay, by) - 0.5 - SEAM));
    const lastRow = Math.min(rows - 1, Math.floor(Math.max(ay, by) + 0.5 + SEAM));
    for (let row = firstRow; row <= lastRow; row++) {
      strip.least = Infinity;
      strip.most = -Infinity;
      extendByEdge(ax, ay, 0, bx, by, 0, row - 0.5 - SEAM, row + 0.5 + SEAM, strip);
      const first = Math.max(0, Math.ceil(strip.least - 0.5 - SEAM));
      const last = Math.min(columns - 1, Math.floor(strip.most + 0.5 + SEAM));
      for (let column = first; column <= last; column++) lower[row * columns + column] = -Infinity;
    }
  }
}

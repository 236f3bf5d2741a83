import { tick, type Context } from '../core/context.js';
import type { Mesh } from '../part/types.js';
import type { GridWindow } from './grid-window.js';

/** Corners of one triangle in grid units (1 = pitch; z in mm). */
interface GridTriangle {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
}

/** Fills `into` with triangle `f`. */
function loadTriangle(mesh: Mesh, window: GridWindow, f: number, into: GridTriangle): void {
  const { positions, triangles } = mesh;
  const { x, y, z } = into;
  const scale = 1 / window.pitchMm;
  for (let k = 0; k < 3; k++) {
    const p = 3 * triangles[3 * f + k];
    x[k] = (positions[p] - window.originXMm) * scale;
    y[k] = (positions[p + 1] - window.originYMm) * scale;
    z[k] = positions[p + 2];
  }
}

/**
 * Facets are widened by this many pitches, so that no cell falls through the rounding between two of them.
 */
const SEAM = 1e-9;

/** Part of a facet within one row of cells: its extent in x (grid units) and z (mm). */
interface Strip {
  least: number;
  most: number;
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
 * Sure bounds of a part's height: no point of it over a node's closed cell is higher.
 *
 * A row of cells cuts a convex strip out of a facet, and the cells it meets are those of the strip's extent in x;
 * over each of them the facet is no higher than the strip's highest point, nor than its plane anywhere over the cell.
 * Bounds are widened by 1e-8 of the facet's own height, far above what double arithmetic loses.
 *
 * @returns (columns x rows) mm; `-Infinity` where no facet is over the cell
 */
export function cellBounds(mesh: Mesh, window: GridWindow, context: Context = {}): Float64Array {
  const upper = new Float64Array(window.columns * window.rows).fill(-Infinity);
  const count = mesh.triangles.length / 3;
  const triangle: GridTriangle = { x: new Float64Array(3), y: new Float64Array(3), z: new Float64Array(3) };
  const plane: Plane = { x0: 0, y0: 0, z0: 0, gx: 0, gy: 0, usable: false };
  for (let f = 0; f < count; f++) {
    if ((f & 0xffff) === 0) tick(context, 'height grid', f / count);
    loadTriangle(mesh, window, f, triangle);
    boundFacet(triangle, plane, window, upper);
  }
  return upper;
}

function boundFacet(
  triangle: GridTriangle,
  plane: Plane,
  { columns, rows }: GridWindow,
  upper: Float64Array,
): void {
  const { x, y, z } = triangle;
  const lowest = Math.min(z[0], z[1], z[2]),
    highest = Math.max(z[0], z[1], z[2]);
  const least = Math.min(x[0], x[1], x[2]),
    most = Math.max(x[0], x[1], x[2]);
  const firstRow = Math.max(0, Math.ceil(Math.min(y[0], y[1], y[2]) - 0.5 - SEAM));
  const lastRow = Math.min(rows - 1, Math.floor(Math.max(y[0], y[1], y[2]) + 0.5 + SEAM));
  const firstColumn = Math.max(0, Math.ceil(least - 0.5 - SEAM));
  const lastColumn = Math.min(columns - 1, Math.floor(most + 0.5 + SEAM));
  if (firstRow === lastRow && firstColumn === lastColumn) {
    const k = firstRow * columns + firstColumn;
    if (highest > upper[k]) upper[k] = highest;
    return;
  }
  const strip: Strip = { least, most, highest };
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
      let top = Math.min(highest, strip.highest + slack);
      if (plane.usable) {
        const middle = base + plane.gx * (column - plane.x0);
        if (middle + half < top) top = middle + half;
      }
      if (top > upper[k]) upper[k] = top;
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
  out.highest = Math.max(out.highest, startZ, endZ);
}

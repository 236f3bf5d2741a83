import { tick, type Context } from '../core/context.js';
import type { Mesh, Topology } from '../part/types.js';
import { cellBounds } from './cell-bounds.js';
import type { GridWindow } from './grid-window.js';

/** Heights of a part over a lattice of nodes. Arrays are (columns x rows), mm. */
export interface HeightGrid extends GridWindow {
  /** Height of the highest facet exactly over each node; `-Infinity` where there is none. */
  readonly heights: Float64Array;
  /**
   * No point of the part over the node's closed cell is higher; `-Infinity` where no facet is over the cell.
   */
  readonly upper: Float64Array;
  /**
   * The part is nowhere lower over the node's closed cell; `-Infinity` where the part may not cover the whole
   * cell.
   */
  readonly lower: Float64Array;
}

/**
 * Corners of one triangle in grid units (1 = pitch; z in mm), lowest y first so that shared edges round
 * alike.
 */
export interface GridTriangle {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
}

/**
 * Fills `into` with triangle `f`, its corners sorted by y, then x. Returns twice its signed area in plan as
 * listed.
 */
export function loadTriangle(mesh: Mesh, window: GridWindow, f: number, into: GridTriangle): number {
  const { positions, triangles } = mesh;
  const { x, y, z } = into;
  const scale = 1 / window.pitchMm;
  for (let k = 0; k < 3; k++) {
    const p = 3 * triangles[3 * f + k];
    x[k] = (positions[p] - window.originXMm) * scale;
    y[k] = (positions[p + 1] - window.originYMm) * scale;
    z[k] = positions[p + 2];
  }
  const area = (x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]);
  if (isAfter(x, y, 0, 1)) swap(into, 0, 1);
  if (isAfter(x, y, 1, 2)) swap(into, 1, 2);
  if (isAfter(x, y, 0, 1)) swap(into, 0, 1);
  return area;
}

function isAfter(x: Float64Array, y: Float64Array, a: number, b: number): boolean {
  return y[a] > y[b] || (y[a] === y[b] && x[a] > x[b]);
}

function swap(triangle: GridTriangle, a: number, b: number): void {
  const { x, y, z } = triangle;
  const keptX = x[a],
    keptY = y[a],
    keptZ = z[a];
  x[a] = x[b];
  y[a] = y[b];
  z[a] = z[b];
  x[b] = keptX;
  y[b] = keptY;
  z[b] = keptZ;
}

/**
 * Facets are widened by this many pitches, so that no node falls through the rounding between two of them.
 */
export const SEAM = 1e-9;

/**
 * Heights of the highest facet over each node, undersides and walls included (a node on a wall gets its upper
 * edge).
 *
 * Facets are cut by each row of nodes into a chord, and the heights interpolated along it: always within the
 * facet's own heights, however thin or steep the facet is.
 *
 * @param out (columns x rows) mm, returned
 */
export function nodeHeights(
  mesh: Mesh,
  window: GridWindow,
  out: Float64Array,
  context: Context = {},
): Float64Array {
  const { columns, rows } = window;
  if (out.length !== columns * rows) {
    throw new RangeError(`nodeHeights: ${out.length} heights, expected ${columns * rows}`);
  }
  raiseToFacets(mesh, window, out.fill(-Infinity), context);
  return out;
}

/**
 * Raises the heights of nodes to the facets over them.
 *
 * @param out (columns x rows) mm, changed
 * @param owners (columns x rows) facet that each height was raised by last, changed; or none
 */
export function raiseToFacets(
  mesh: Mesh,
  window: GridWindow,
  out: Float64Array,
  context: Context = {},
  owners: Int32Array | null = null,
): void {
  const { columns, rows } = window;
  const triangle: GridTriangle = { x: new Float64Array(3), y: new Float64Array(3), z: new Float64Array(3) };
  const chord = new Float64Array(4);
  const count = mesh.triangles.length / 3;
  for (let f = 0; f < count; f++) {
    if ((f & 0xffff) === 0) tick(context, 'height grid', f / count);
    loadTriangle(mesh, window, f, triangle);
    const { x, y } = triangle;
    const first = Math.max(0, Math.ceil(y[0] - SEAM)),
      last = Math.min(rows - 1, Math.floor(y[2] + SEAM));
    if (first > last) continue;
    const least = Math.min(x[0], x[1], x[2]),
      most = Math.max(x[0], x[1], x[2]);
    if (Math.ceil(least - SEAM) > Math.floor(most + SEAM)) continue;
    if (y[2] - y[0] < SEAM) levelEdges(triangle, first, columns, chord, out, owners, f);
    else
      for (let row = first; row <= last; row++)
        fillChord(cutRow(triangle, row, chord), row, columns, out, owners, f);
  }
}

/** Where the row cuts the triangle: x and z of the left end, x and z of the right end. */
function cutRow(triangle: GridTriangle, row: number, chord: Float64Array): Float64Array {
  const { x, y, z } = triangle;
  const long = along(y[0], y[2], row);
  const longX = x[0] + long * (x[2] - x[0]),
    longZ = z[0] + long * (z[2] - z[0]);
  const from = row <= y[1] ? 0 : 1;
  // Where the short side lies in the row itself, its far end (corner 1) is the cut.
  const t = y[from + 1] === y[from] ? 1 - from : along(y[from], y[from + 1], row);
  const shortX = x[from] + t * (x[from + 1] - x[from]),
    shortZ = z[from] + t * (z[from + 1] - z[from]);
  const swapped = shortX < longX;
  chord[0] = swapped ? shortX : longX;
  chord[1] = swapped ? shortZ : longZ;
  chord[2] = swapped ? longX : shortX;
  chord[3] = swapped ? longZ : shortZ;
  return chord;
}

/** Fraction of the way from `from` to `to` at which `at` lies, kept within 0 and 1. */
function along(from: number, to: number, at: number): number {
  const t = (at - from) / (to - from);
  // biome-ignore lint/complexity/useMathMinMax: two comparisons in the innermost loop.
  return t < 0 ? 0 : t > 1 ? 1 : t;
}

function fillChord(
  chord: Float64Array,
  row: number,
  columns: number,
  out: Float64Array,
  owners: Int32Array | null,
  f: number,
): void {
  const left = chord[0],
    leftZ = chord[1],
    right = chord[2],
    rightZ = chord[3];
  const first = Math.max(0, Math.ceil(left - SEAM)),
    last = Math.min(columns - 1, Math.floor(right + SEAM));
  if (first > last) return;
  const steep = right - left < SEAM;
  const slope = steep ? 0 : (rightZ - leftZ) / (right - left);
  for (let i = first; i <= last; i++) {
    const z = steep
      ? Math.max(leftZ, rightZ)
      : i <= left
        ? leftZ
        : i >= right
          ? rightZ
          : leftZ + (i - left) * slope;
    const k = row * columns + i;
    if (!(z > out[k])) continue;
    out[k] = z;
    if (owners) owners[k] = f;
  }
}

/** A triangle that lies in one row of nodes: an upright facet; its three edges hold its upper side. */
function levelEdges(
  triangle: GridTriangle,
  row: number,
  columns: number,
  chord: Float64Array,
  out: Float64Array,
  owners: Int32Array | null,
  f: number,
): void {
  const { x, z } = triangle;
  for (let a = 0; a < 3; a++) {
    const b = (a + 1) % 3;
    const left = x[a] <= x[b] ? a : b,
      right = left === a ? b : a;
    chord[0] = x[left];
    chord[1] = z[left];
    chord[2] = x[right];
    chord[3] = z[right];
    fillChord(chord, row, columns, out, owners, f);
  }
}

/**
 * Rasterises a part: exact heights at the nodes, sure bounds for the cells.
 *
 * Rounding: bounds are widened by 1e-8 of the facet's own height, far above what double arithmetic loses.
 *
 * @param topology tells where the upper side of the part ends, which the lower bounds need
 */
export function heightGrid(
  mesh: Mesh,
  topology: Topology,
  window: GridWindow,
  context: Context = {},
): HeightGrid {
  const size = window.columns * window.rows;
  const heights = nodeHeights(mesh, window, new Float64Array(size), context);
  return { ...window, heights, ...cellBounds(mesh, topology, window, context) };
}

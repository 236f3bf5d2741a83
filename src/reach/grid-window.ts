import type { Mesh } from '../part/types.js';

/**
 * A square lattice of nodes in plan. Node `j * columns + i` lies at `(originXMm + i pitchMm, originYMm + j
 * pitchMm)` and stands in the middle of its cell, the closed square of side `pitchMm`.
 */
export interface GridWindow {
  readonly originXMm: number;
  readonly originYMm: number;
  readonly pitchMm: number;
  readonly columns: number;
  readonly rows: number;
}

/** Rectangle in plan, mm. */
export interface PlanBounds {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** A window to compute on, and the block of its nodes whose results count. */
export interface GridTile {
  readonly window: GridWindow;
  readonly firstColumn: number;
  readonly firstRow: number;
  readonly columns: number;
  readonly rows: number;
}

/** Most nodes held at once: 4 M, 32 MB for each array of doubles. */
export const MAX_NODES = 1 << 22;
/** Nodes that a whole part gets where nothing else decides. */
export const DEFAULT_NODES = 1 << 20;

/** Smallest rectangle around the part in plan. @throws {RangeError} for a mesh without vertices */
export function planBounds(mesh: Mesh): PlanBounds {
  if (mesh.positions.length === 0) throw new RangeError('planBounds: mesh without vertices');
  let minX = Infinity,
    minY = Infinity,
    maxX = -Infinity,
    maxY = -Infinity;
  for (let k = 0; k < mesh.positions.length; k += 3) {
    const x = mesh.positions[k],
      y = mesh.positions[k + 1];
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  return { minX, minY, maxX, maxY };
}

/**
 * Pitch that spends about `nodes` on the rectangle but is not finer than the tolerance, mm.
 *
 * A finer grid than the tolerance decides nothing that the tolerance does not blur again.
 */
export function gridPitch(bounds: PlanBounds, toleranceMm: number, nodes = DEFAULT_NODES): number {
  const width = bounds.maxX - bounds.minX,
    depth = bounds.maxY - bounds.minY;
  const longest = Math.max(width, depth);
  // A part that is a line in plan still gets a lattice: at most `nodes` along it.
  const pitch = Math.max(Math.sqrt((width * depth) / nodes), longest / nodes, toleranceMm);
  if (!(pitch > 0 && Number.isFinite(pitch))) {
    throw new RangeError(
      `gridPitch: ${width} x ${depth} mm at tolerance ${toleranceMm}, expected a positive pitch`,
    );
  }
  return pitch;
}

/** The lattice of this pitch whose cells cover the rectangle and a margin around it. */
export function gridWindow(bounds: PlanBounds, pitchMm: number, marginMm = 0): GridWindow {
  if (!(pitchMm > 0 && marginMm >= 0 && Number.isFinite(pitchMm + marginMm))) {
    throw new RangeError(`gridWindow: pitch ${pitchMm}, margin ${marginMm}, expected > 0 and >= 0`);
  }
  const width = bounds.maxX - bounds.minX + 2 * marginMm,
    depth = bounds.maxY - bounds.minY + 2 * marginMm;
  const columns = Math.floor(width / pitchMm) + 2,
    rows = Math.floor(depth / pitchMm) + 2;
  return {
    originXMm: bounds.minX - marginMm - ((columns - 1) * pitchMm - width) / 2,
    originYMm: bounds.minY - marginMm - ((rows - 1) * pitchMm - depth) / 2,
    pitchMm,
    columns,
    rows,
  };
}

/**
 * Cuts a window into tiles of at most `maxNodes` nodes each, overlap included. Results of a tile are those of
 * the whole window if nothing farther than `overlapMm` can influence a node (2 x DC/2 for a closing). Row by
 * row, left to right.
 *
 * @throws {RangeError} if the overlap alone takes more than `maxNodes`
 */
export function gridTiles(window: GridWindow, overlapMm: number, maxNodes = MAX_NODES): GridTile[] {
  const overlap = Math.ceil(overlapMm / window.pitchMm);
  if (window.columns * window.rows <= maxNodes) {
    return [{ window, firstColumn: 0, firstRow: 0, columns: window.columns, rows: window.rows }];
  }
  const side = Math.floor(Math.sqrt(maxNodes)) - 2 * overlap;
  if (side < 1)
    throw new RangeError(`gridTiles: overlap of ${overlap} nodes does not fit into ${maxNodes} nodes`);
  const tiles: GridTile[] = [];
  for (let row = 0; row < window.rows; row += side) {
    for (let column = 0; column < window.columns; column += side) {
      tiles.push(tileAt(window, column, row, side, overlap));
    }
  }
  return tiles;
}

function tileAt(window: GridWindow, column: number, row: number, side: number, overlap: number): GridTile {
  const left = Math.max(0, column - overlap),
    below = Math.max(0, row - overlap);
  const columns = Math.min(side, window.columns - column),
    rows = Math.min(side, window.rows - row);
  return {
    window: {
      originXMm: window.originXMm + left * window.pitchMm,
      originYMm: window.originYMm + below * window.pitchMm,
      pitchMm: window.pitchMm,
      columns: Math.min(window.columns, column + columns + overlap) - left,
      rows: Math.min(window.rows, row + rows + overlap) - below,
    },
    firstColumn: column - left,
    firstRow: row - below,
    columns,
    rows,
  };
}

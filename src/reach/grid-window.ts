import type { Bounds } from '../core/bounds.js';

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

/**
 * Pitch that spends about `nodes` on the rectangle but is not finer than the tolerance, mm.
 *
 * A finer grid than the tolerance decides nothing that the tolerance does not blur again.
 */
export function gridPitch(bounds: Bounds, toleranceMm: number, nodes: number): number {
  const width = bounds.max[0] - bounds.min[0],
    depth = bounds.max[1] - bounds.min[1];
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

/** The lattice of this pitch whose cells cover the rectangle. */
export function gridWindow(bounds: Bounds, pitchMm: number): GridWindow {
  const width = bounds.max[0] - bounds.min[0],
    depth = bounds.max[1] - bounds.min[1];
  const columns = Math.floor(width / pitchMm) + 2,
    rows = Math.floor(depth / pitchMm) + 2;
  return {
    originXMm: bounds.min[0] - ((columns - 1) * pitchMm - width) / 2,
    originYMm: bounds.min[1] - ((rows - 1) * pitchMm - depth) / 2,
    pitchMm,
    columns,
    rows,
  };
}

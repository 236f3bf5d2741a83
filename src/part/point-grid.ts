import { listsByKey } from '../core/lists.js';

/** Points of a mesh, findable by place. */
export interface PointGrid {
  /**
   * Calls `visit` with every point no further than one cell from x, y, z (and with some beyond), each once,
   * in ascending order within each cell.
   */
  near(x: number, y: number, z: number, visit: (point: number) => void): void;
}

/**
 * Hashes points into cubic cells. All 27 cells around a place are searched, so neighbours across a cell's
 * border are never missed; unlike points may share a bucket, so whoever visits measures the distance.
 *
 * @param positions (3 V) mm
 * @param points vertices to put into the grid, ascending
 * @param cellMm > 0
 */
export function pointGrid(positions: Float64Array, points: Uint32Array, cellMm: number): PointGrid {
  const slots = 2 ** Math.ceil(Math.log2(2 * points.length + 8));
  const cellOf = (value: number): number => Math.floor(value / cellMm);
  const bucket = (i: number, j: number, k: number): number => {
    // Cell numbers may exceed 32 bits for a tiny cell far out: reduced first, equal cells still agree.
    const hash =
      Math.imul(i % 0x7fffffff, 0x9e3779b1) ^
      Math.imul(j % 0x7fffffff, 0x85ebca6b) ^
      Math.imul(k % 0x7fffffff, 0xc2b2ae35);
    return (hash ^ (hash >>> 15)) & (slots - 1);
  };
  const slotOf = Uint32Array.from(points, (v) =>
    bucket(cellOf(positions[3 * v]), cellOf(positions[3 * v + 1]), cellOf(positions[3 * v + 2])),
  );
  const { start, items } = listsByKey(slotOf, slots);
  const seen = new Uint32Array(27);

  const near = (x: number, y: number, z: number, visit: (point: number) => void): void => {
    const i = cellOf(x),
      j = cellOf(y),
      k = cellOf(z);
    let count = 0;
    for (let n = 0; n < 27; n++) {
      const slot = bucket(i + (n % 3) - 1, j + (Math.floor(n / 3) % 3) - 1, k + Math.floor(n / 9) - 1);
      // Two of the 27 cells may share a bucket.
      if (seen.subarray(0, count).includes(slot)) continue;
      seen[count++] = slot;
      for (let s = start[slot]; s < start[slot + 1]; s++) visit(points[items[s]]);
    }
  };
  return { near };
}

import { emptyBounds, include, longestSide } from '../core/bounds.js';

/** Cells along each axis of the curve that puts places in order. */
const CURVE_CELLS = 1024;

/**
 * Vertices that have a corner, near ones mostly after each other, in an order that depends on their places
 * (and within one cell of a thousandth of their extent on their numbers).
 *
 * Source: Morton 1966, interleaved bits of the coordinates (from memory).
 *
 * @param positions (V) x, y, z first of so many numbers each, mm
 * @param corner (V) -1: left out
 */
export function byPlace(positions: Float64Array, corner: Int32Array, stride = 3): Int32Array {
  const bounds = emptyBounds();
  for (let v = 0; v < corner.length; v++) if (corner[v] >= 0) include(bounds, positions, stride * v);
  const [left, front, bottom] = bounds.min;
  const cells = (CURVE_CELLS * (1 - 1e-9)) / Math.max(1e-9, longestSide(bounds));
  const keys = new Float64Array(corner.length);
  let used = 0;
  for (let v = 0; v < corner.length; v++) {
    if (corner[v] < 0) continue;
    const x = spread(cells * (positions[stride * v] - left)),
      y = spread(cells * (positions[stride * v + 1] - front));
    const z = spread(cells * (positions[stride * v + 2] - bottom));
    // 30 bits of place above the vertex's number: exact up to 8 million vertices.
    keys[used++] = (x + 2 * y + 4 * z) * corner.length + v;
  }
  const sorted = keys.subarray(0, used).sort();
  const order = new Int32Array(used);
  for (let i = 0; i < used; i++) order[i] = sorted[i] % corner.length;
  return order;
}

/** The ten bits of a whole number, two zeros between each. */
function spread(value: number): number {
  let bits = value | 0;
  bits = (bits | (bits << 16)) & 0x030000ff;
  bits = (bits | (bits << 8)) & 0x0300f00f;
  bits = (bits | (bits << 4)) & 0x030c30c3;
  return (bits | (bits << 2)) & 0x09249249;
}

/**
 * Some rows of an array of numbers, one after the other: places of vertices, normals of corners.
 *
 * @param rows which, in order
 * @param width numbers to a row
 */
export function rowsOf(
  values: ArrayLike<number>,
  rows: ArrayLike<number>,
  width = 3,
): Float64Array<ArrayBuffer> {
  const out = new Float64Array(width * rows.length);
  for (let r = 0, at = 0; r < rows.length; r++)
    for (let k = width * rows[r]; k < width * (rows[r] + 1); k++) out[at++] = values[k];
  return out;
}

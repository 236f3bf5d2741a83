import { checkLengths } from '../core/check-lengths.js';
import { doubleArea, placeOf } from '../part/facet-geometry.js';
import type { Mesh } from '../part/types.js';

const HEADER_BYTES = 80;
const FACET_BYTES = 50;

/**
 * The facets of one region as binary STL, little-endian, mm, normals by the right-hand rule: 84 + 50 n bytes.
 * Coordinates are rounded to single precision, which is all the format holds. A facet without area has normal
 * 0.
 *
 * @param labelOfFace (F) region of each facet
 * @param name written into the header, cut off at its 80 bytes; only plain ASCII is kept
 * @throws {RangeError} if the lengths do not agree
 */
export function regionStl(
  mesh: Mesh,
  labelOfFace: ArrayLike<number>,
  region: number,
  name: string,
): Uint8Array<ArrayBuffer> {
  checkLengths('regionStl', { labels: [labelOfFace.length, mesh.triangles.length / 3] });
  const n = new Float64Array(3);
  const faces: number[] = [];
  for (let f = 0; f < labelOfFace.length; f++) if (labelOfFace[f] === region) faces.push(f);
  const bytes = new Uint8Array(HEADER_BYTES + 4 + FACET_BYTES * faces.length);
  // A header that begins with "solid" would be taken for the text form.
  const header = `binary STL, mm, ${name}`.replace(/[^\x20-\x7e]/g, '?').slice(0, HEADER_BYTES);
  for (let i = 0; i < header.length; i++) bytes[i] = header.charCodeAt(i);
  const view = new DataView(bytes.buffer);
  view.setUint32(HEADER_BYTES, faces.length, true);
  faces.forEach((f, i) => {
    const length = doubleArea(mesh, f, n) || 1;
    const corners = [0, 1, 2].flatMap((k) => placeOf(mesh.positions, mesh.triangles[3 * f + k]));
    const numbers = [n[0] / length, n[1] / length, n[2] / length, ...corners];
    const at = HEADER_BYTES + 4 + FACET_BYTES * i;
    numbers.forEach((value, k) => view.setFloat32(at + 4 * k, value, true));
  });
  return bytes;
}

import { checkLengths } from '../core/check-lengths.js';
import { doubleArea } from '../part/facet-geometry.js';
import type { Mesh } from '../part/types.js';

const HEADER_BYTES = 80;
const FACET_BYTES = 50;

/**
 * The facets of one region as binary STL.
 *
 * @param labelOfFace (F) region of each facet
 * @throws {RangeError} if the lengths do not agree
 */
export function regionStl(
  mesh: Mesh,
  labelOfFace: ArrayLike<number>,
  region: number,
  name: string,
): Uint8Array<ArrayBuffer> {
  checkLengths('regionStl', { labels: [labelOfFace.length, mesh.triangles.length / 3] });
  return meshStl(
    { ...mesh, triangles: mesh.triangles.filter((_, h) => labelOfFace[(h / 3) | 0] === region) },
    name,
  );
}

/**
 * A mesh as binary STL, little-endian, mm, normals by the right-hand rule: 84 + 50 n bytes. Coordinates are rounded
 * to single precision, which is all the format holds. A facet without area has normal 0.
 *
 * @param name written into the header, cut off at its 80 bytes; only plain ASCII is kept
 */
export function meshStl(mesh: Mesh, name: string): Uint8Array<ArrayBuffer> {
  const n = new Float64Array(3),
    count = mesh.triangles.length / 3;
  const bytes = new Uint8Array(HEADER_BYTES + 4 + FACET_BYTES * count);
  // A header that begins with "solid" would be taken for the text form.
  const header = `binary STL, mm, ${name}`.replace(/[^\x20-\x7e]/g, '?').slice(0, HEADER_BYTES);
  for (let i = 0; i < header.length; i++) bytes[i] = header.charCodeAt(i);
  const view = new DataView(bytes.buffer);
  view.setUint32(HEADER_BYTES, count, true);
  for (let f = 0, at = HEADER_BYTES + 4; f < count; f++, at += FACET_BYTES) {
    const length = doubleArea(mesh, f, n) || 1;
    for (let k = 0; k < 3; k++) {
      view.setFloat32(at + 4 * k, n[k] / length, true);
      for (let i = 0; i < 3; i++) {
        const corner = mesh.positions[3 * mesh.triangles[3 * f + i] + k];
        view.setFloat32(at + 12 * (i + 1) + 4 * k, corner, true);
      }
    }
  }
  return bytes;
}

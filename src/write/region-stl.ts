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
  const { positions, triangles } = mesh;
  if (triangles.length !== 3 * labelOfFace.length) {
    throw new RangeError(`regionStl: ${labelOfFace.length} labels for ${triangles.length / 3} facets`);
  }
  const faces: number[] = [];
  for (let f = 0; f < labelOfFace.length; f++) if (labelOfFace[f] === region) faces.push(f);
  const bytes = new Uint8Array(HEADER_BYTES + 4 + FACET_BYTES * faces.length);
  // A header that begins with "solid" would be taken for the text form.
  const header = `binary STL, mm, ${name}`.replace(/[^\x20-\x7e]/g, '?').slice(0, HEADER_BYTES);
  for (let i = 0; i < header.length; i++) bytes[i] = header.charCodeAt(i);
  const view = new DataView(bytes.buffer);
  view.setUint32(HEADER_BYTES, faces.length, true);
  faces.forEach((f, i) => {
    const [a, b, c] = [3 * triangles[3 * f], 3 * triangles[3 * f + 1], 3 * triangles[3 * f + 2]];
    const numbers = [
      ...facetNormal(positions, a, b, c),
      positions[a],
      positions[a + 1],
      positions[a + 2],
      positions[b],
      positions[b + 1],
      positions[b + 2],
      positions[c],
      positions[c + 1],
      positions[c + 2],
    ];
    const at = HEADER_BYTES + 4 + FACET_BYTES * i;
    numbers.forEach((value, k) => view.setFloat32(at + 4 * k, value, true));
  });
  return bytes;
}

function facetNormal(p: Float64Array, a: number, b: number, c: number): [number, number, number] {
  const ux = p[b] - p[a],
    uy = p[b + 1] - p[a + 1],
    uz = p[b + 2] - p[a + 2];
  const vx = p[c] - p[a],
    vy = p[c + 1] - p[a + 1],
    vz = p[c + 2] - p[a + 2];
  const x = uy * vz - uz * vy,
    y = uz * vx - ux * vz,
    z = ux * vy - uy * vx;
  const length = Math.sqrt(x * x + y * y + z * z);
  return length > 0 ? [x / length, y / length, z / length] : [0, 0, 0];
}

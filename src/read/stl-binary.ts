import { LOST_POINTS, readError } from './read-error.js';
import { finding, type Finding } from '../core/findings.js';
import type { ReadTriangles } from './read-triangles.js';

export const STL_HEADER_BYTES = 84;
export const STL_FACET_BYTES = 50;

/** Facets that the header announces; NaN if there is no whole header. */
export function announcedFacets(bytes: Uint8Array): number {
  if (bytes.length < STL_HEADER_BYTES) return NaN;
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.length).getUint32(80, true);
}

/**
 * Whether the bytes behind the header look like facets: sane float32 numbers, the normal no longer than 1.
 * Looks at the first eight; false if not even one is whole.
 */
export function looksLikeFacets(bytes: Uint8Array): boolean {
  const whole = Math.min(8, Math.floor((bytes.length - STL_HEADER_BYTES) / STL_FACET_BYTES));
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  for (let f = 0; f < whole; f++) {
    const at = STL_HEADER_BYTES + STL_FACET_BYTES * f;
    for (let i = 0; i < 12; i++) {
      const size = Math.abs(view.getFloat32(at + 4 * i, true));
      // NaN passes both: such a file is an STL, and is refused with a better reason.
      if (size > (i < 3 ? 1.01 : 1e9) || (size > 0 && size < 1e-30)) return false;
    }
  }
  return whole > 0;
}

/**
 * Triangles of a binary STL: 80 bytes of header, a count, 50 bytes per facet, little-endian. Stored normals
 * are not used.
 *
 * @throws {PartError} `read.truncated`, `read.non-finite`
 */
export function readBinaryStl(bytes: Uint8Array, name: string): ReadTriangles {
  const count = announcedFacets(bytes);
  const expected = STL_HEADER_BYTES + STL_FACET_BYTES * count;
  if (bytes.length < expected) {
    const whole = Math.floor((bytes.length - STL_HEADER_BYTES) / STL_FACET_BYTES);
    throw readError(
      'read.truncated',
      name,
      `the header announces ${count} facets (${expected} bytes), the file holds ${whole} (${bytes.length} bytes)`,
    );
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const corners = new Float64Array(9 * count);
  let firstBad = -1,
    bad = 0;
  for (let f = 0, at = STL_HEADER_BYTES + 12, p = 0; f < count; f++, at += STL_FACET_BYTES) {
    let sum = 0;
    for (let i = 0; i < 36; i += 4) {
      const value = view.getFloat32(at + i, true);
      sum += value;
      corners[p++] = value;
    }
    // Nine float32 numbers cannot overflow a float64, so the sum is finite exactly if they all are.
    if (sum - sum !== 0 && bad++ === 0) firstBad = f;
  }
  if (bad > 0) {
    throw readError(
      'read.non-finite',
      `${name}: facet ${firstBad + 1}`,
      `coordinates that are no numbers (NaN or infinite), in ${bad} of ${count} facets`,
      LOST_POINTS,
    );
  }
  return { corners, findings: trailing(bytes.length - expected) };
}

function trailing(bytes: number): Finding[] {
  if (bytes === 0) return [];
  return [finding('read.trailing-bytes', 'info', `${bytes} bytes after the last facet were not used`, bytes)];
}

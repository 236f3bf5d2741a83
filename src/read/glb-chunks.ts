import type { PartError } from '../core/errors.js';
import { readError } from './read-error.js';

const HEADER_BYTES = 12;
const JSON_CHUNK = 0x4e4f534a;
const BINARY_CHUNK = 0x004e4942;

/**
 * Splits a GLB of version 2 (glTF 2.0, section 4, "GLB File Format Specification").
 *
 * @returns its two chunks; `binary` is null if there is none
 * @throws {PartError} `read.truncated` if the file is shorter than it says, `read.damaged` if it is no GLB 2
 */
export function glbChunks(bytes: Uint8Array, name: string) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  if (bytes.length < HEADER_BYTES) throw truncated(name, HEADER_BYTES, bytes.length);
  const announced = view.getUint32(8, true);
  if (bytes.length < announced) throw truncated(name, announced, bytes.length);
  const version = view.getUint32(4, true);
  if (version !== 2) {
    throw readError(
      'read.damaged',
      name,
      `GLB version ${version} found, 2 expected`,
      'export it as glTF 2.0',
    );
  }
  let json: Uint8Array | null = null,
    binary: Uint8Array | null = null;
  for (let at = HEADER_BYTES; at + 8 <= announced; ) {
    const length = view.getUint32(at, true),
      type = view.getUint32(at + 4, true);
    if (at + 8 + length > announced) throw truncated(name, at + 8 + length, announced);
    const chunk = bytes.subarray(at + 8, at + 8 + length);
    if (type === JSON_CHUNK) json ??= chunk;
    else if (type === BINARY_CHUNK) binary ??= chunk;
    at += 8 + length + ((4 - (length % 4)) % 4);
  }
  if (json === null) {
    throw readError('read.damaged', name, 'a GLB without its JSON chunk');
  }
  return { json, binary };
}

const truncated = (where: string, expected: number, got: number): PartError =>
  readError('read.truncated', where, `the file announces ${expected} bytes and holds ${got}`);

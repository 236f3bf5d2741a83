import { readError } from './read-error.js';

/**
 * SHA-256 of the bytes, lower-case hexadecimal, by the platform's own implementation. Browsers offer it only
 * to pages from https or localhost; a second implementation of a hash for other pages would be code that
 * nobody runs.
 *
 * @throws {PartError} `read.no-sha256` where the platform does not offer it
 */
export async function sha256(bytes: Uint8Array, name: string): Promise<string> {
  // The DOM's types promise `subtle`; pages from plain http do not have it.
  const subtle: SubtleCrypto | undefined = globalThis.crypto?.subtle;
  if (subtle === undefined) {
    throw readError(
      'read.no-sha256',
      name,
      'this browser computes no checksums for a page from plain http',
      'open the page from localhost or over https',
    );
  }
  // A shared buffer is refused by the digest; a copy is not.
  const own =
    bytes.buffer instanceof ArrayBuffer
      ? new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.length)
      : bytes.slice();
  const digest = new Uint8Array(await subtle.digest('SHA-256', own));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

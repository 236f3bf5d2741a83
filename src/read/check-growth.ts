import { MOST_UNPACKED_BYTES } from '../core/limits.js';
import { readError } from './read-error.js';

/**
 * Unpacked, a part may be this many times as long as packed. Meshes come to about 10; files made to fill a
 * machine go up to 1000.
 */
const MOST_RATIO = 100;
/** Below that the ratio does not matter. */
const SMALL_BYTES = 2 ** 24;

/** @throws {PartError} `read.too-large` if so many packed bytes do not become that many in good faith */
export function checkGrowth(packedBytes: number, bytes: number, where: string): void {
  if (bytes <= MOST_UNPACKED_BYTES && (bytes <= SMALL_BYTES || bytes <= MOST_RATIO * packedBytes)) return;
  const what =
    `${packedBytes} bytes would be unpacked to ${bytes}; at most 2 GiB are, and ${MOST_RATIO} times ` +
    'as many as were packed';
  throw readError('read.too-large', where, what, 'export the part again');
}

import type { PartError } from '../core/errors.js';
import type { Finding } from '../core/findings.js';
import type { FileUnit } from '../core/units.js';
import { readError } from './read-error.js';

/** What the reader of one format hands back. */
export interface ReadTriangles {
  /** (9 T) in the unit of the file, Z up, finite */
  readonly corners: Float64Array;
  readonly findings: readonly Finding[];
  /** what the file says of its unit; left out where it says nothing */
  readonly stated?: StatedUnit;
}

export interface StatedUnit {
  readonly unit: FileUnit;
  /** written in the file, or the same for every file of the format */
  readonly by: 'file' | 'format';
}

/**
 * More triangles than this are not unpacked from a file that places or packs them many times over: 1.4 GB of
 * corners from a few bytes.
 */
export const MOST_UNPACKED_TRIANGLES = 20_000_000;

export const tooManyTriangles = (where: string, most = MOST_UNPACKED_TRIANGLES): PartError =>
  readError(
    'read.too-many-triangles',
    where,
    `more than ${most} triangles`,
    'export it coarser, or in parts',
  );

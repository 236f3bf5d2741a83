import type { Finding } from '../core/findings.js';
import type { FileUnit } from '../core/units.js';

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

import type { Finding } from './findings.js';
import type { Source } from './source.js';

/** Triangles as read: nothing shared, nothing left out, in the order of the file. */
export interface Soup {
  /** (9 T) mm, three corners of x, y, z per triangle; all finite */
  readonly corners: Float64Array;
  readonly source: Source;
  /** What the reader assumed or left out. */
  readonly findings: readonly Finding[];
}

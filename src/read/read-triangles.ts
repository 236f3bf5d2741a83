import type { Finding } from '../core/findings.js';

/** What the reader of one format hands back. */
export interface ReadTriangles {
  /** (9 T) mm, finite */
  readonly corners: Float64Array;
  readonly findings: readonly Finding[];
}

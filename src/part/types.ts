import type { PerCorner, PerFace } from '../core/array-types.js';

/** Indexed triangles. `triangles` lists each facet's corners counter-clockwise seen from outside. */
export interface Mesh {
  /** (3 V) mm, z up the tool axis */
  readonly positions: Float64Array;
  /** (3 F) vertex of each corner */
  readonly triangles: Uint32Array;
}

/** Half-edge `h = 3 f + k` runs from corner `k` to corner `(k + 1) % 3` of face `f`. */
export interface Topology {
  /** (3 F) the half-edge on the other side, -1 on an open or non-manifold edge */
  readonly twin: Int32Array;
}

/**
 * The surface as analysed: a conforming mesh whose facets lie inside the facets of the part,
 * cut at class borders and refined where an answer changes inside a facet.
 */
export interface Surface {
  readonly mesh: Mesh;
  readonly topology: Topology;
  /** (F) facet of the part that each facet lies in */
  readonly parent: PerFace<Int32Array>;
  /** (9 F) unit outward normal of the true surface at each corner */
  readonly normals: PerCorner<Float64Array>;
}

import { facetNormals } from './facet-normals.js';
import { steadyNormals, WITHIN_NOISE } from './steady-normals.js';
import { surfaceNoise } from './surface-noise.js';
import type { Mesh, Topology } from './types.js';

/** A surface without the noise of its points: what classes are told from. */
export interface SettledSurface {
  /** root mean square of the heights of points over the true surface, mm; 0: they lie on it */
  readonly rmsMm: number;
  /** how far from the true surface nearly all points lie, to either side, mm */
  readonly withinMm: number;
  /** (9 F) unit corner normals with the noise taken out; `rawNormals` where there is none */
  readonly normals: Float64Array;
  /** (9 F) as the points have them */
  readonly rawNormals: Float64Array;
}

/**
 * Measures the noise of a mesh and takes it out of its normals, once and before anything is told from them.
 *
 * @param normals (9 F) unit corner normals
 * @param noiseMm root mean square, mm; `auto`: measured; 0: each facet is taken at its word
 */
export function settleNoise(
  mesh: Mesh,
  topology: Topology,
  normals: Float64Array,
  noiseMm: number | 'auto',
): SettledSurface {
  const facets = facetNormals(mesh);
  const rmsMm = noiseMm === 'auto' ? surfaceNoise(mesh, topology, facets) : noiseMm;
  return {
    rmsMm,
    withinMm: WITHIN_NOISE * rmsMm,
    normals: rmsMm > 0 ? steadyNormals(mesh, topology, facets, normals, rmsMm) : normals,
    rawNormals: normals,
  };
}

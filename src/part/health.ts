import { boundsOf } from '../core/bounds.js';
import { runningSum } from '../core/sum.js';
import { doubleArea } from './facet-geometry.js';
import { sixVolumes } from './orient.js';
import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

/** The numbers by which a mesh is judged. */
export interface MeshHealth {
  readonly triangles: number;
  readonly vertices: number;
  readonly areaMm2: number;
  /** null where the surface is not closed: it then encloses nothing */
  readonly volumeMm3: number | null;
  readonly boundsMm: {
    readonly min: readonly [number, number, number];
    readonly max: readonly [number, number, number];
  };
  /** Every edge has exactly two facets, which run opposite ways. */
  readonly closed: boolean;
  readonly openEdges: number;
  readonly nonManifoldEdges: number;
  /** Dropped: without area. */
  readonly degenerateTriangles: number;
  /** Dropped: there twice. */
  readonly duplicateTriangles: number;
  /** Turned round. */
  readonly flippedTriangles: number;
  readonly shells: number;
}

export type Repaired = Pick<
  MeshHealth,
  'degenerateTriangles' | 'duplicateTriangles' | 'flippedTriangles' | 'shells'
>;

/**
 * Measures a mesh of at least one facet.
 *
 * @param report its topology
 * @param repaired what was counted on the way to it
 */
export function meshHealth(mesh: Mesh, report: TopologyReport, repaired: Repaired): MeshHealth {
  const { positions, triangles } = mesh;
  const bounds = boundsOf(positions);
  const centre = [0, 1, 2].map((i) => 0.5 * (bounds.min[i] + bounds.max[i]));
  const area = runningSum(),
    volume = runningSum();
  const n = new Float64Array(3);
  for (let f = 0; f < triangles.length / 3; f++) {
    area.add(doubleArea(mesh, f, n));
    volume.add(sixVolumes(mesh, f, centre[0], centre[1], centre[2]));
  }
  const closed = report.open.count === 0 && report.nonManifold.count === 0 && report.flipped.count === 0;
  return {
    triangles: triangles.length / 3,
    vertices: positions.length / 3,
    areaMm2: 0.5 * area.value(),
    volumeMm3: closed ? volume.value() / 6 : null,
    boundsMm: bounds,
    closed,
    openEdges: report.open.count,
    nonManifoldEdges: report.nonManifold.count,
    ...repaired,
  };
}

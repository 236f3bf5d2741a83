import type { Mesh, Topology } from '../mesh/types.js';
import type { Strategy } from './finishing-surface.js';

/** Where a pass cuts: a mesh, and which of its facets belong to which region. */
export interface CutRegions {
  readonly mesh: Mesh;
  readonly topology: Topology;
  /** (F) region of each facet, -1: not cut by this pass */
  readonly regionOf: Int32Array;
  /** how many regions there are */
  readonly count: number;
}

/**
 * How the passes over each region are cut into pieces; one entry per region. Counts are means, hence
 * fractions.
 */
export interface PassPieces {
  /** levels or planes that meet the region: its extent across the passes over the spacing */
  readonly passes: Float64Array;
  /** separate cuts: each begins and ends at the region's border, or is a closed loop */
  readonly pieces: Float64Array;
}

/**
 * Counts the separate cuts of the passes over each region, without laying a path.
 *
 * A pass ends where it meets the border of the region. By the co-area formula along that border, `(1/spacing)
 * ∫|df|` passes do so, f being the height (waterline) or the way across the planes (raster); half as many
 * cuts have two ends. Closed loops have none, so there are at least as many cuts as levels: one loop per
 * level is assumed. Passes that follow the surface are taken as one spiral.
 *
 * @throws {RangeError} if the regions are not one per facet of the mesh
 */
export function passPieces(where: CutRegions, strategy: Strategy, spacingMm: number): PassPieces {
  const { mesh, regionOf, count: regions } = where;
  if (regionOf.length * 3 !== mesh.triangles.length) {
    throw new RangeError(`passPieces: ${regionOf.length} facets, expected ${mesh.triangles.length / 3}`);
  }
  if (strategy.kind === 'following') {
    return { passes: new Float64Array(regions).fill(1), pieces: new Float64Array(regions).fill(1) };
  }
  const { triangles } = mesh;
  const { twin } = where.topology;
  const level = levelFunction(mesh.positions, strategy);
  const low = new Float64Array(regions).fill(Infinity), high = new Float64Array(regions).fill(-Infinity);
  const border = new Float64Array(regions);
  for (let h = 0; h < triangles.length; h++) {
    const f = (h - (h % 3)) / 3;
    const region = regionOf[f];
    if (region < 0) continue;
    const at = level(triangles[h]);
    if (at < low[region]) low[region] = at;
    if (at > high[region]) high[region] = at;
    const other = twin[h];
    if (other >= 0 && regionOf[(other - (other % 3)) / 3] === region) continue;
    border[region] += Math.abs(level(triangles[3 * f + ((h + 1) % 3)]) - at);
  }
  const passes = high.map((top, region) => Math.max(0, top - low[region]) / spacingMm);
  return { passes, pieces: passes.map((count, region) => Math.max(count, border[region] / spacingMm / 2)) };
}

/** Height, or way across the planes, of a vertex, mm. */
function levelFunction(positions: Float64Array, strategy: Strategy): (v: number) => number {
  if (strategy.kind !== 'raster') return (v) => positions[3 * v + 2];
  const dx = -Math.sin(strategy.feedRad), dy = Math.cos(strategy.feedRad);
  return (v) => dx * positions[3 * v] + dy * positions[3 * v + 1];
}

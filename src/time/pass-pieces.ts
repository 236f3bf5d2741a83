import { checkLengths } from '../core/check-lengths.js';
import type { Mesh, Topology } from '../part/types.js';
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

/** What the passes over each region count by, whatever their spacing; one entry per region. */
export interface PassExtents {
  /** mm across the passes; Infinity: passes that follow the surface, one spiral */
  readonly across: Float64Array;
  /** how far its border runs across them, up and down alike, mm */
  readonly border: Float64Array;
}

/**
 * How far regions and their borders reach across the passes.
 *
 * @throws {RangeError} if the regions are not one per facet of the mesh
 */
export function passExtents(where: CutRegions, strategy: Strategy): PassExtents {
  const { mesh, regionOf, count: regions } = where;
  checkLengths('passExtents', { regions: [regionOf.length, mesh.triangles.length / 3] });
  const border = new Float64Array(regions);
  if (strategy.kind === 'following') return { across: new Float64Array(regions).fill(Infinity), border };
  const { triangles } = mesh;
  const { twin } = where.topology;
  const level = levelFunction(mesh.positions, strategy);
  const low = new Float64Array(regions).fill(Infinity),
    high = new Float64Array(regions).fill(-Infinity);
  for (let f = 0, h = 0; f < regionOf.length; f++, h += 3) {
    const region = regionOf[f];
    if (region < 0) continue;
    const a = level(triangles[h]),
      b = level(triangles[h + 1]),
      c = level(triangles[h + 2]);
    low[region] = Math.min(low[region], a, b, c);
    high[region] = Math.max(high[region], a, b, c);
    for (let k = 0; k < 3; k++) {
      const other = twin[h + k];
      if (other >= 0 && regionOf[(other - (other % 3)) / 3] === region) continue;
      border[region] += Math.abs(k === 0 ? b - a : k === 1 ? c - b : a - c);
    }
  }
  return { across: high.map((top, region) => Math.max(0, top - low[region])), border };
}

/**
 * Counts the separate cuts of the passes over each region, without laying a path.
 *
 * A pass ends where it meets the border of the region. By the co-area formula along that border, `(1/spacing)
 * ∫|df|` passes do so, f being the height (waterline) or the way across the planes (raster); half as many
 * cuts have two ends. Closed loops have none, so there are at least as many cuts as levels: one loop per
 * level is assumed. Passes that follow the surface are taken as one spiral.
 *
 * @param spacingMm of all regions, or of each
 */
export function passPieces(
  { across, border }: PassExtents,
  spacingMm: number | readonly number[],
): PassPieces {
  const at = (region: number): number => (typeof spacingMm === 'number' ? spacingMm : spacingMm[region]);
  const passes = across.map((mm, region) => (mm === Infinity ? 1 : mm / at(region)));
  return { passes, pieces: passes.map((count, region) => Math.max(count, border[region] / at(region) / 2)) };
}

/** Edges where a pass may end, whichever way it runs: for many directions of one raster. */
export type RegionBorders = Readonly<ReturnType<typeof regionBorders>>;

/** Borders of regions in plan, from which the pieces of a raster in any direction follow. */
export function regionBorders({ mesh, topology, regionOf, count }: CutRegions) {
  const { positions, triangles } = mesh,
    { twin } = topology;
  const region: number[] = [],
    ends: number[] = [];
  for (let h = 0; h < triangles.length; h++) {
    const f = (h - (h % 3)) / 3,
      own = regionOf[f],
      other = twin[h];
    if (own < 0 || (other >= 0 && regionOf[(other - (other % 3)) / 3] === own)) continue;
    const a = 3 * triangles[h],
      b = 3 * triangles[3 * f + ((h + 1) % 3)];
    region.push(own);
    ends.push(positions[a], positions[a + 1], positions[b], positions[b + 1]);
  }
  return {
    count,
    /** (E) region on whose border each edge lies */
    region: Int32Array.from(region),
    /** (4 E) x and y of both ends, mm */
    ends: Float64Array.from(ends),
  };
}

/**
 * `passPieces` of a raster from the borders alone. Surface that a raster cuts does not lie over itself in
 * plan, so it reaches no further across the passes than its border does; a closed one has none and counts as
 * one cut per pass.
 */
export function rasterPieces(
  { count, region, ends }: RegionBorders,
  feedRad: number,
  spacingMm: number,
): PassPieces {
  const dx = -Math.sin(feedRad),
    dy = Math.cos(feedRad);
  const low = new Float64Array(count).fill(Infinity),
    high = new Float64Array(count).fill(-Infinity);
  const border = new Float64Array(count);
  for (let e = 0; e < region.length; e++) {
    const r = region[e];
    const from = dx * ends[4 * e] + dy * ends[4 * e + 1],
      to = dx * ends[4 * e + 2] + dy * ends[4 * e + 3];
    border[r] += Math.abs(to - from);
    if (from < low[r]) low[r] = from;
    if (from > high[r]) high[r] = from;
  }
  return passPieces({ across: high.map((top, r) => Math.max(0, top - low[r])), border }, spacingMm);
}

/** Height (waterline), or way along the step direction (raster), of a vertex, mm. */
export function levelFunction(positions: Float64Array, strategy: Strategy): (v: number) => number {
  if (strategy.kind !== 'raster') return (v) => positions[3 * v + 2];
  const dx = -Math.sin(strategy.feedRad),
    dy = Math.cos(strategy.feedRad);
  return (v) => dx * positions[3 * v] + dy * positions[3 * v + 1];
}

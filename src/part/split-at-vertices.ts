import { edgeLength, placeOf } from './facet-geometry.js';
import { EDGE_SHARE, openVertices, vertexTolerances, type Stitch } from './open-vertices.js';
import { pointGrid, type PointGrid } from './point-grid.js';
import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

export interface Split {
  readonly mesh: Mesh;
  /** (F) facet before; ascending */
  readonly parent: Int32Array;
  readonly split: Stitch;
  readonly greatestGapMm: number;
}

/** A vertex on an edge, at fraction `s` of it and `gap` mm off it. */
interface OnEdge {
  readonly vertex: number;
  readonly s: number;
  readonly gap: number;
}

/**
 * Splits facets along open edges where a vertex of another open edge lies on them, within the tolerance and a
 * quarter of the facet's height. The edge then bends to the vertex; no vertex is moved.
 */
export function splitAtVertices(mesh: Mesh, report: TopologyReport, toleranceMm: number): Split {
  const { positions, triangles } = mesh;
  const limits = vertexTolerances(mesh, report, toleranceMm);
  const vertices = openVertices(limits);
  const cellMm = Math.max(meanOpenEdge(mesh, report), 4 * toleranceMm);
  const grid = vertices.length > 0 ? pointGrid(positions, vertices, cellMm) : null;
  const corners: number[] = [];
  const parent: number[] = [];
  const points: OnEdge[] = [];
  for (let f = 0, h = 0; h < triangles.length; f++, h += 3) {
    let pieces = [[triangles[h], triangles[h + 1], triangles[h + 2]]];
    for (let k = 0; k < 3 && grid !== null; k++) {
      if (report.isOpen[h + k] === 0) continue;
      const on = verticesOnEdge(mesh, h + k, { limits, grid, cellMm, toleranceMm });
      if (on.length === 0) continue;
      points.push(...on);
      pieces = splitEdge(pieces, triangles[h + k], triangles[h + ((k + 1) % 3)], on);
    }
    for (const piece of pieces) {
      corners.push(piece[0], piece[1], piece[2]);
      parent.push(f);
    }
  }
  if (points.length === 0) return { mesh, parent: Int32Array.from(parent), split: [], greatestGapMm: 0 };
  return {
    mesh: { positions, triangles: Uint32Array.from(corners) },
    parent: Int32Array.from(parent),
    split: points.map(({ vertex }) => placeOf(positions, vertex)),
    greatestGapMm: points.reduce((most, { gap }) => Math.max(most, gap), 0),
  };
}

function meanOpenEdge(mesh: Mesh, report: TopologyReport): number {
  let sum = 0;
  for (let h = 0; h < mesh.triangles.length; h++) {
    if (report.isOpen[h] === 1) sum += edgeLength(mesh, h);
  }
  return sum / Math.max(1, report.open.count);
}

interface Search {
  readonly limits: Float64Array;
  readonly grid: PointGrid;
  readonly cellMm: number;
  readonly toleranceMm: number;
}

/** Vertices strictly inside half-edge `h`, in its direction. */
function verticesOnEdge(mesh: Mesh, h: number, search: Search): OnEdge[] {
  const { positions, triangles } = mesh;
  const f = Math.floor(h / 3),
    u = triangles[h],
    v = triangles[3 * f + ((h + 1) % 3)],
    w = triangles[3 * f + ((h + 2) % 3)];
  const length = edgeLength(mesh, h);
  if (length === 0) return [];
  const [x, y, z] = positions.subarray(3 * u, 3 * u + 3);
  const dx = (positions[3 * v] - x) / length,
    dy = (positions[3 * v + 1] - y) / length;
  const dz = (positions[3 * v + 2] - z) / length;
  const measure = (p: number): { along: number; gap: number } => {
    const px = positions[3 * p] - x,
      py = positions[3 * p + 1] - y,
      pz = positions[3 * p + 2] - z;
    const along = px * dx + py * dy + pz * dz;
    const cx = px - along * dx,
      cy = py - along * dy,
      cz = pz - along * dz;
    return { along, gap: Math.sqrt(cx * cx + cy * cy + cz * cz) };
  };
  const tolerance = Math.min(search.toleranceMm, EDGE_SHARE * measure(w).gap);
  const found = new Map<number, OnEdge>();
  const visit = (p: number): void => {
    if (p === u || p === v || p === w) return;
    const { along, gap } = measure(p);
    const limit = Math.min(tolerance, search.limits[p]);
    if (gap <= limit && along > search.limits[u] && along < length - search.limits[v]) {
      found.set(p, { vertex: p, s: along / length, gap });
    }
  };
  // A step of one cell leaves every vertex on the edge within one cell of a stop.
  const stops = Math.ceil(length / search.cellMm);
  for (let i = 0; i <= stops; i++) {
    const t = (length * i) / stops;
    search.grid.near(x + t * dx, y + t * dy, z + t * dz, visit);
  }
  const sorted = [...found.values()].sort((p, q) => p.s - q.s || p.vertex - q.vertex);
  return sorted.filter((one, i) => i === 0 || one.s > sorted[i - 1].s);
}

/** Replaces the piece that has edge u v by a fan over the vertices on that edge. */
function splitEdge(pieces: readonly number[][], u: number, v: number, on: readonly OnEdge[]): number[][] {
  return pieces.flatMap((piece) => {
    const k = piece.findIndex((start, i) => start === u && piece[(i + 1) % 3] === v);
    if (k < 0) return [piece];
    const apex = piece[(k + 2) % 3];
    const stops = [u, ...on.map(({ vertex }) => vertex), v];
    return stops.slice(1).map((stop, i) => [stops[i], stop, apex]);
  });
}

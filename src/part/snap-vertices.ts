import { distanceBetween, placeOf, type Place } from './facet-geometry.js';
import { openVertices, vertexTolerances, type Stitch } from './open-vertices.js';
import { pointGrid } from './point-grid.js';
import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';
import { isDegenerate, usedVertices } from './weld.js';

export interface Snapped {
  readonly mesh: Mesh;
  /** (F) facet before; ascending */
  readonly parent: Int32Array;
  readonly snapped: Stitch;
  readonly collapsedFaces: number;
  readonly greatestGapMm: number;
}

interface Pair {
  readonly u: number;
  readonly v: number;
  readonly distance: number;
}

/**
 * Joins vertices of open edges that lie within the tolerance of each other, nearest first. Of those joined
 * the one of lowest number keeps its place. All of a group lie within the tolerance of that one, so that a
 * row of close vertices does not run together.
 */
export function snapVertices(mesh: Mesh, report: TopologyReport, toleranceMm: number): Snapped {
  const { positions, triangles } = mesh;
  const limits = vertexTolerances(mesh, report, toleranceMm);
  const root = Uint32Array.from({ length: limits.length }, (_, v) => v);
  const joined = joinPairs(positions, limits, root, closePairs(positions, limits, toleranceMm));
  if (joined.snapped.length === 0) {
    return {
      mesh,
      parent: Int32Array.from({ length: triangles.length / 3 }, (_, f) => f),
      ...joined,
      collapsedFaces: 0,
    };
  }
  const moved = triangles.map((v) => find(root, v));
  const kept: number[] = [];
  const corners: number[] = [];
  for (let f = 0, h = 0; h < moved.length; f++, h += 3) {
    const a = moved[h],
      b = moved[h + 1],
      c = moved[h + 2];
    const touched = a !== triangles[h] || b !== triangles[h + 1] || c !== triangles[h + 2];
    if (touched && isDegenerate(positions, a, b, c)) continue;
    kept.push(f);
    corners.push(a, b, c);
  }
  return {
    mesh: usedVertices({ positions, triangles: Uint32Array.from(corners) }),
    parent: Int32Array.from(kept),
    ...joined,
    collapsedFaces: triangles.length / 3 - kept.length,
  };
}

function closePairs(positions: Float64Array, limits: Float64Array, toleranceMm: number): Pair[] {
  const vertices = openVertices(limits);
  const grid = pointGrid(positions, vertices, toleranceMm);
  const pairs: Pair[] = [];
  for (const u of vertices) {
    grid.near(positions[3 * u], positions[3 * u + 1], positions[3 * u + 2], (v) => {
      if (v <= u) return;
      const distance = distanceBetween(positions, u, v);
      if (distance <= Math.min(limits[u], limits[v])) pairs.push({ u, v, distance });
    });
  }
  return pairs.sort((p, q) => p.distance - q.distance || p.u - q.u || p.v - q.v);
}

function joinPairs(
  positions: Float64Array,
  limits: Float64Array,
  root: Uint32Array,
  pairs: readonly Pair[],
): { snapped: Stitch; greatestGapMm: number } {
  const snapped: Place[] = [];
  let greatestGapMm = 0;
  for (const { u, v } of pairs) {
    const p = find(root, u),
      q = find(root, v);
    if (p === q) continue;
    const low = Math.min(p, q),
      high = Math.max(p, q);
    const gap = distanceBetween(positions, low, high);
    const limit = Math.min(limits[low], limits[high]);
    if (gap > limit) continue;
    root[high] = low;
    limits[low] = limit;
    greatestGapMm = Math.max(greatestGapMm, gap);
    snapped.push(placeOf(positions, low));
  }
  return { snapped, greatestGapMm };
}

function find(root: Uint32Array, v: number): number {
  let top = v;
  while (root[top] !== top) top = root[top] = root[root[top]];
  return top;
}

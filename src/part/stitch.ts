import type { Stitch } from './open-vertices.js';
import { snapVertices } from './snap-vertices.js';
import { splitAtVertices } from './split-at-vertices.js';
import { buildTopology, type TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

export interface StitchOptions {
  /** Open edges and their vertices up to this far apart are joined, mm; 0: none. */
  readonly toleranceMm: number;
}

/** Tessellations of neighbouring CAD faces differ by microns. Common practice, no source. */
export const STITCH_DEFAULTS: StitchOptions = { toleranceMm: 0.01 };

/** Times that snapping and splitting are repeated: each can open the way for the other. */
const ROUNDS = 3;

export interface Stitched {
  readonly mesh: Mesh;
  /** Topology of `mesh`. */
  readonly report: TopologyReport;
  /** (F) facet of the mesh before that each facet is, or is a part of; ascending */
  readonly parent: Int32Array;
  /** Vertices joined to another. */
  readonly snapped: Stitch;
  /** Vertices that lay on an open edge, which was split there. */
  readonly split: Stitch;
  /** Facets that shrank to nothing in joining. */
  readonly collapsedFaces: number;
  /** Greatest distance that a vertex was moved, or lay from the edge it split, mm. */
  readonly greatestGapMm: number;
  /** Open edges that there are fewer after it. */
  readonly closedEdges: number;
}

/**
 * Closes cracks as CAD exports have them: between tessellated faces whose vertices nearly coincide, and where
 * a vertex of one lies inside an edge of the other. Only vertices of open edges are touched.
 *
 * A vertex moves by no more than the tolerance and a quarter of the shortest edge at it, so that small
 * details survive a large tolerance.
 *
 * @param report topology of `mesh`
 */
export function stitch(mesh: Mesh, report: TopologyReport, options: StitchOptions): Stitched {
  if (!(options.toleranceMm >= 0))
    throw new RangeError(`stitch: tolerance ${options.toleranceMm}, 0 or more expected`);
  let now: Stitched = {
    mesh,
    report,
    parent: new Int32Array(mesh.triangles.length / 3).map((_, f) => f),
    snapped: [],
    split: [],
    collapsedFaces: 0,
    greatestGapMm: 0,
    closedEdges: 0,
  };
  if (options.toleranceMm === 0) return now;
  for (let round = 0; round < ROUNDS && now.report.open.count > 0; round++) {
    const next = stitchOnce(now, options.toleranceMm);
    if (next === null) break;
    now = next;
  }
  return now;
}

/** One round; null if there was nothing to do. */
function stitchOnce(before: Stitched, toleranceMm: number): Stitched | null {
  const snap = snapVertices(before.mesh, before.report, toleranceMm);
  const snapReport = snap.snapped.length > 0 ? buildTopology(snap.mesh) : before.report;
  const split = splitAtVertices(snap.mesh, snapReport, toleranceMm);
  if (snap.snapped.length === 0 && split.split.length === 0) return null;
  const report = split.split.length > 0 ? buildTopology(split.mesh) : snapReport;
  return {
    mesh: split.mesh,
    report,
    parent: split.parent.map((f) => before.parent[snap.parent[f]]),
    snapped: [...before.snapped, ...snap.snapped],
    split: [...before.split, ...split.split],
    collapsedFaces: before.collapsedFaces + snap.collapsedFaces,
    greatestGapMm: Math.max(before.greatestGapMm, snap.greatestGapMm, split.greatestGapMm),
    closedEdges: before.closedEdges + before.report.open.count - report.open.count,
  };
}

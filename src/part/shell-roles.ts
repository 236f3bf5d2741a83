import { boundsOf, emptyBounds, include, longestSide, type Bounds } from '../core/bounds.js';
import { nextCorner } from './half-edge.js';
import type { Oriented } from './orient.js';
import { STITCH_DEFAULTS } from './stitch.js';
import type { TopologyReport } from './topology.js';

/** What the shells of a part are to each other; lists ascending. */
export interface ShellRoles {
  /**
   * (S) 1 where a shell bounds a solid of its own, or a hollow: it encloses something, its only open edges lie at the
   * bottom of the part, and of the facets at each edge that is shared by more than two as many of its own run one way as
   * the other. What is parted from the rest of a solid by such edges bounds none. Rays go up: through any other opening
   * they would leave unnoticed.
   */
  readonly isSolid: Uint8Array;
  /** Facing inward, in a body. */
  readonly hollows: readonly number[];
  /** Facing outward, in a body that holds them entirely. */
  readonly nested: readonly number[];
  /** Enclosing something, but no solids; others may reach into them. */
  readonly unclosed: readonly number[];
  /** Much smaller than the part. */
  readonly dust: readonly number[];
}

/** Longest side of what counts as dust, as a share of the part's. Common practice, no source. */
export const DUST_SHARE = 1e-3;

/** @param report topology of the oriented mesh */
export function shellRoles(oriented: Oriented, report: TopologyReport): ShellRoles {
  const { mesh, shells, volumes, windings } = oriented;
  const isSolid = solidShells(oriented, report);
  if (shells.count === 1) return { isSolid, hollows: [], nested: [], unclosed: [], dust: [] };
  const boxes = Array.from({ length: shells.count }, emptyBounds),
    whole = emptyBounds();
  mesh.triangles.forEach((v, h) => {
    include(boxes[shells.shellOf[(h / 3) | 0]], mesh.positions, 3 * v);
  });
  for (const { min, max } of boxes) for (const corner of [min, max]) include(whole, corner, 0);
  const all = Array.from(boxes.keys());
  const most = DUST_SHARE * longestSide(whole);
  const dust = all.filter((s) => longestSide(boxes[s]) < most);
  const isHeld = (s: number): boolean => boxes.some((box, t) => t !== s && holds(box, boxes[s]));
  const isMet = (s: number): boolean => boxes.some((box, t) => t !== s && meets(box, boxes[s]));
  return {
    isSolid,
    hollows: all.filter((s) => volumes[s] < 0),
    nested: all.filter((s) => volumes[s] > 0 && windings[s] > 0 && isHeld(s)),
    unclosed: all.filter((s) => volumes[s] !== 0 && isSolid[s] === 0 && isMet(s)),
    dust,
  };
}

const holds = (outer: Bounds, inner: Bounds): boolean =>
  outer.min.every((low, k) => low <= inner.min[k] && outer.max[k] >= inner.max[k]);

const meets = (a: Bounds, b: Bounds): boolean =>
  a.min.every((low, k) => low < b.max[k] && a.max[k] > b.min[k]);

function solidShells({ mesh, shells, volumes }: Oriented, report: TopologyReport): Uint8Array {
  const isSolid = Uint8Array.from(volumes, (volume) => (volume === 0 ? 0 : 1));
  const { positions, triangles } = mesh;
  const low = boundsOf(positions).min[2] + STITCH_DEFAULTS.toleranceMm;
  for (let h = 0; h < triangles.length; h++)
    if (report.isOpen[h] === 1 && [h, nextCorner(h)].some((at) => positions[3 * triangles[at] + 2] > low))
      isSolid[shells.shellOf[(h / 3) | 0]] = 0;
  if (report.nonManifold.count === 0) return isSolid;
  const balances = new Map<string, number>();
  for (let h = 0; h < triangles.length; h++) {
    if (report.isOpen[h] === 1 || report.mate[h] >= 0) continue;
    const a = triangles[h],
      b = triangles[nextCorner(h)],
      key = [shells.shellOf[(h / 3) | 0], Math.min(a, b), Math.max(a, b)].join();
    balances.set(key, (balances.get(key) ?? 0) + (a < b ? 1 : -1));
  }
  for (const [key, balance] of balances) if (balance !== 0) isSolid[Number.parseInt(key, 10)] = 0;
  return isSolid;
}

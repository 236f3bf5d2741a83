import { emptyBounds, include, longestSide, type Bounds } from '../core/bounds.js';
import { nextCorner } from './half-edge.js';
import type { Oriented } from './orient.js';
import type { TopologyReport } from './topology.js';

/** Shells of a part that are not simply one of its bodies; ascending. */
export interface ShellRoles {
  /** Facing inward, in a body. */
  readonly hollows: readonly number[];
  /** Facing outward, in a body that holds them entirely. */
  readonly nested: readonly number[];
  /** Much smaller than the part. */
  readonly dust: readonly number[];
}

/** Longest side of what counts as dust, as a share of the part's. Common practice, no source. */
export const DUST_SHARE = 1e-3;

/** Tells what the shells of a part are to each other. */
export function shellRoles({ mesh, shells, volumes, windings }: Oriented): ShellRoles {
  if (shells.count === 1) return { hollows: [], nested: [], dust: [] };
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
  return {
    hollows: all.filter((s) => volumes[s] < 0),
    nested: all.filter((s) => volumes[s] > 0 && windings[s] > 0 && isHeld(s)),
    dust,
  };
}

const holds = (outer: Bounds, inner: Bounds): boolean =>
  outer.min.every((low, k) => low <= inner.min[k] && outer.max[k] >= inner.max[k]);

/**
 * (S) 1 where a shell bounds a solid of its own, or a hollow: it encloses something and has no open edge, and of the
 * facets at each edge that is shared by more than two as many of its own run one way as the other. What is parted from
 * the rest of a solid by such edges bounds none, and through an opening a ray would leave unnoticed.
 *
 * @param report topology of the oriented mesh
 */
export function solidShells({ mesh, shells, volumes }: Oriented, report: TopologyReport): Uint8Array {
  const isSolid = Uint8Array.from(volumes, (volume, s) => (volume === 0 || shells.isOpen[s] === 1 ? 0 : 1));
  if (report.nonManifold.count === 0) return isSolid;
  const { triangles } = mesh;
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

import { emptyBounds, include, longestSide, type Bounds } from '../core/bounds.js';
import type { Oriented } from './orient.js';

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

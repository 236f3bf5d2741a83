import { LEAST_PIECE_MM2 } from '../core/limits.js';
import { emptyBounds, include } from '../core/bounds.js';
import { listsByKey } from '../core/lists.js';
import { compensatedSum } from '../core/sum.js';
import { facetNormals } from '../part/facet-normals.js';
import type { Surface } from '../part/types.js';
import { connectedRegions } from './connected-regions.js';

/** A connected patch of a surface. */
export interface Patch {
  readonly areaMm2: number;
  /** area-weighted mean, moved to the nearest vertex of the patch, mm */
  readonly centreMm: readonly [number, number, number];
  readonly boundsMm: { readonly min: readonly number[]; readonly max: readonly number[] };
}

/**
 * The connected patches of some facets of a surface, measured.
 *
 * @param member (F) 0: belongs to a patch; -1: not
 * @param isCounted whether a facet is measured and listed; one that is not may join others all the same
 */
export function connectedPatches(
  surface: Surface,
  member: Int32Array,
  isCounted = (_f: number): boolean => true,
) {
  const { regionOfFace, count } = connectedRegions(surface.topology, member);
  const { areas } = facetNormals(surface.mesh);
  const { start, items } = listsByKey(regionOfFace, count);
  const found = Array.from({ length: count }, (_, r) => [...items.subarray(start[r], start[r + 1])])
    .map((all) => ({ all, faces: all.filter(isCounted) }))
    .map((patch) => ({ ...patch, areaMm2: compensatedSum(patch.faces.map((f) => areas[f])) }));
  const crumbs = found.filter(({ areaMm2 }) => areaMm2 > 0 && areaMm2 < LEAST_PIECE_MM2);
  const kept = found
    .filter(({ areaMm2 }) => areaMm2 >= LEAST_PIECE_MM2)
    .map((patch) => ({ ...patch, ...measurePatch(surface, patch.faces, areas) }));
  kept.sort(
    (a, b) => Math.round((b.areaMm2 - a.areaMm2) * 1e6) || compareBounds(a.boundsMm.min, b.boundsMm.min),
  );
  const patchOf = new Int32Array(areas.length).fill(-1),
    joinedBy = patchOf.slice();
  kept.forEach(({ all, faces }, i) => {
    for (const f of faces) patchOf[f] = i;
    for (const f of all) joinedBy[f] = i;
  });
  return {
    /** largest first */
    patches: kept.map(({ areaMm2, centreMm, boundsMm }): Patch => ({ areaMm2, centreMm, boundsMm })),
    /** facets of each patch that count */
    facesOf: kept.map(({ faces }) => faces),
    /** (F) index in `patches`, -1: in none, or in one too small to list, or not counted */
    patchOf,
    /** (F) the same of those not counted, too */
    joinedBy,
    /** those too small to list */
    crumbs: { count: crumbs.length, areaMm2: compensatedSum(crumbs.map(({ areaMm2 }) => areaMm2)) },
  };
}

function compareBounds(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < 3; i++) if (Math.abs(a[i] - b[i]) > 1e-6) return a[i] - b[i];
  return 0;
}

function measurePatch(
  surface: Surface,
  faces: readonly number[],
  areas: Float64Array,
): Pick<Patch, 'centreMm' | 'boundsMm'> {
  const { positions, triangles } = surface.mesh;
  const boundsMm = emptyBounds(),
    mean = [0, 0, 0];
  let total = 0;
  for (const f of faces) {
    total += areas[f];
    for (let k = 0; k < 3; k++) {
      const v = 3 * triangles[3 * f + k];
      include(boundsMm, positions, v);
      for (let i = 0; i < 3; i++) mean[i] += (areas[f] * positions[v + i]) / 3;
    }
  }
  let best = Infinity,
    nearest = 3 * triangles[3 * faces[0]];
  for (const f of faces) {
    for (let k = 0; k < 3; k++) {
      const v = 3 * triangles[3 * f + k];
      let off = 0;
      for (let i = 0; i < 3; i++) off += (positions[v + i] - mean[i] / total) ** 2;
      if (off < best - 1e-9) {
        best = off;
        nearest = v;
      }
    }
  }
  return {
    boundsMm,
    centreMm: [positions[nearest], positions[nearest + 1], positions[nearest + 2]],
  };
}

import { contactTip, offsetProfile, type CutterProfile } from '../cutter/cutter-profile.js';
import type { Surface } from '../part/types.js';
import { toLattice, type PlanLattice } from './plan-lattice.js';
import { NOTHING_MM } from './stock-field.js';

/** So far off a facet's own tips a node may stand for them, pitches. */
const BESIDE = 1;
/** Facets lean less than their corner normals tell by so much, as a slope. */
const BENT = 0.2;
/** cos θ of what counts as upright. */
const UPRIGHT = 1e-3;

/**
 * Where the axis of a cutter stands as it touches some facets: over each node the height up to which its tip may be
 * there; higher up it rests on something else. A cutter takes stock only from where it stands.
 *
 * @param facets of that surface
 * @param stockMm left on it
 * @returns (nodes) mm; -Infinity: it does not stand there
 */
export function standingHeights(
  { mesh: { positions, triangles }, normals }: Surface,
  facets: Iterable<number>,
  profile: CutterProfile,
  stockMm: number,
  lattice: PlanLattice,
): Float32Array {
  const { u0, v0, pitchMm, columns, rows } = lattice;
  const grown = offsetProfile(profile, stockMm);
  const heights = new Float32Array(columns * rows).fill(-Infinity);
  const tip = new Float64Array(3),
    u = new Float64Array(3),
    v = new Float64Array(3);
  for (const f of facets) {
    let top = -Infinity,
      rise = 0;
    for (let k = 0; k < 3; k++) {
      const p = 3 * triangles[3 * f + k],
        n = 9 * f + 3 * k,
        nz = normals[n + 2];
      contactTip(grown, normals[n], normals[n + 1], nz, tip);
      const [x, y] = toLattice(positions[p] + tip[0], positions[p + 1] + tip[1]);
      u[k] = (x - u0) / pitchMm;
      v[k] = (y - v0) / pitchMm;
      top = Math.max(top, positions[p + 2] + tip[2] + stockMm);
      // Beside an upright wall it stands lower than the wall's top, or on it.
      rise = nz > UPRIGHT ? Math.max(rise, pitchMm * (BENT + Math.sqrt(1 - nz * nz) / nz)) : -NOTHING_MM;
    }
    raiseNear(heights, lattice, u, v, top + rise);
  }
  return heights;
}

/** Raises the nodes in a triangle, or beside it. @param u, v (3) of its corners, pitches */
function raiseNear(
  heights: Float32Array,
  { columns, rows }: PlanLattice,
  u: Float64Array,
  v: Float64Array,
  heightMm: number,
): void {
  const turn = (u[1] - u[0]) * (v[2] - v[0]) - (v[1] - v[0]) * (u[2] - u[0]) < 0 ? -1 : 1;
  const from = (own: Float64Array): number =>
      Math.max(0, Math.ceil(Math.min(own[0], own[1], own[2]) - BESIDE)),
    to = (own: Float64Array, count: number): number =>
      Math.min(count - 1, Math.floor(Math.max(own[0], own[1], own[2]) + BESIDE));
  const isNear = (i: number, j: number): boolean => {
    for (let k = 0; k < 3; k++) {
      const next = k === 2 ? 0 : k + 1,
        du = u[next] - u[k],
        dv = v[next] - v[k];
      if (turn * (du * (j - v[k]) - dv * (i - u[k])) < -BESIDE * Math.sqrt(du * du + dv * dv)) return false;
    }
    return true;
  };
  for (let j = from(v); j <= to(v, rows); j++)
    for (let i = from(u); i <= to(u, columns); i++)
      if (heights[j * columns + i] < heightMm && isNear(i, j)) heights[j * columns + i] = heightMm;
}

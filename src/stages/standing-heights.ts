import { contactTip, offsetProfile, type CutterProfile } from '../cutter/cutter-profile.js';
import { doubleArea } from '../part/facet-geometry.js';
import { toLattice, type PlanLattice } from './plan-lattice.js';
import { NOTHING_MM } from './stock-field.js';

/** So far off a facet's own tips a node may stand for them, pitches. */
const BESIDE = 1;
/** Facets lean less than their corner normals tell by so much, as a slope. */
const BENT = 0.2;
/** cos θ of what counts as upright. */
const UPRIGHT = 1e-3;
/**
 * What is touched of upright walls near a node is as wide as that, pitches: beside walls the lattice makes up to a pitch of
 * nothing, and a ball on slivers would take that off the whole of them.
 */
const LEAST_WIDTH = 1 / 4;

/** Triangles of a surface that a cutter touches. */
export interface Touched {
  /** (9 n) mm */
  readonly corners: Float64Array;
  /** (9 n) unit outward normal of the true surface at each corner */
  readonly normals: Float64Array;
}

/** (nodes) Heights from which and up to which a tip may be over a node, mm; Infinity and -Infinity: it is not there. */
export interface Standing {
  readonly from: Float32Array;
  readonly to: Float32Array;
}

/**
 * Where the axis of a cutter stands as it touches some triangles: higher up it rests on something else, and lower down,
 * along an upright wall, it touches what is not its own. A cutter takes stock only from where it stands.
 *
 * @param stockMm left on them
 */
export function standingHeights(
  { corners, normals }: Touched,
  profile: CutterProfile,
  stockMm: number,
  lattice: PlanLattice,
): Standing {
  const { u0, v0, pitchMm, columns, rows } = lattice;
  const grown = offsetProfile(profile, stockMm);
  const standing = {
    from: new Float32Array(columns * rows).fill(Infinity),
    to: new Float32Array(columns * rows).fill(-Infinity),
  };
  const mesh = { positions: corners, triangles: new Uint32Array(corners.length / 3).map((_, v) => v) };
  const tip = new Float64Array(3),
    cross = new Float64Array(3),
    u = new Float64Array(3),
    v = new Float64Array(3),
    /** of upright triangles that touch from a node; Infinity: of others too */
    touchedMm2 = new Float64Array(columns * rows);
  for (let t = 0; t < corners.length; t += 9) {
    let low = Infinity,
      top = -Infinity,
      rise = 0;
    for (let k = 0; k < 3; k++) {
      const n = t + 3 * k,
        nz = normals[n + 2];
      contactTip(grown, normals[n], normals[n + 1], nz, tip);
      const [x, y] = toLattice(corners[n] + tip[0], corners[n + 1] + tip[1]);
      u[k] = (x - u0) / pitchMm;
      v[k] = (y - v0) / pitchMm;
      const height = corners[n + 2] + tip[2] + stockMm;
      low = Math.min(low, height);
      top = Math.max(top, height);
      // Beside an upright wall it stands lower than the wall's top, or on it.
      rise = nz > UPRIGHT ? Math.max(rise, pitchMm * (BENT + Math.sqrt(1 - nz * nz) / nz)) : -NOTHING_MM;
    }
    const isUpright = rise < 0,
      range = [low - Math.max(0, rise), top + rise] as const;
    widenNear(
      standing,
      touchedMm2,
      lattice,
      [u, v],
      range,
      isUpright ? doubleArea(mesh, t / 9, cross) / 2 : Infinity,
    );
  }
  leaveSlivers(standing, touchedMm2, pitchMm);
  return standing;
}

/** Takes away where a cutter would stand on slivers of upright walls alone. */
function leaveSlivers({ from, to }: Standing, touchedMm2: Float64Array, pitchMm: number): void {
  touchedMm2.forEach((mm2, node) => {
    if (mm2 > LEAST_WIDTH * pitchMm * Math.max(NOTHING_MM, to[node] - from[node])) return;
    from[node] = Infinity;
    to[node] = -Infinity;
  });
}

/** Lets a tip be over the nodes in a triangle, or beside it. @param corners their two coordinates, pitches */
function widenNear(
  { from: lowest, to: highest }: Standing,
  touchedMm2: Float64Array,
  { columns, rows }: PlanLattice,
  [u, v]: readonly [Float64Array, Float64Array],
  [fromMm, toMm]: readonly [number, number],
  areaMm2: number,
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
    for (let i = from(u); i <= to(u, columns); i++) {
      const node = j * columns + i;
      const isKnown = touchedMm2[node] === Infinity && highest[node] >= toMm && lowest[node] <= fromMm;
      if (isKnown || !isNear(i, j)) continue;
      touchedMm2[node] += areaMm2;
      highest[node] = Math.max(highest[node], toMm);
      lowest[node] = Math.min(lowest[node], fromMm);
    }
}

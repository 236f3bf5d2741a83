import { perCorner, type PerCorner } from '../core/array-types.js';
import { RAD_PER_DEG } from '../core/units.js';
import type { FacetNormals } from './facet-normals.js';
import { nextCorner, prevCorner } from './half-edge.js';
import type { Mesh, Topology } from './types.js';
import { levelPlaces, type LevelPlace } from './level-places.js';

/** Points of a noisy surface lie within so many times its noise, nearly all. */
export const WITHIN_NOISE = 3;
/** A place whose heights scatter by more than this share of the noise is sloped or bent, not level. */
const LEVEL_SHARE = 1.6;
/** A place so narrow that noise could tilt it by this much tells nothing, rad. */
const MOST_DOUBT_RAD = 3 * RAD_PER_DEG;

/**
 * A strip of a slope is twice the allowed height wide, over the slope, and its width by area and perimeter
 * twice that; the crown of a dome comes to eight. A floor ends at a wall or fillet, far steeper than its
 * height over its width.
 */
const LEAST_TURN = 4.5;
/** A corner normal further from its facet's, as a cosine, is that of another surface. */
const OWN_SIDE_COSINE = Math.cos(35 * RAD_PER_DEG);
/** What leans further, as the sine of its lean, is no wall, however low. */
const MOST_LEAN = Math.sin(15 * RAD_PER_DEG);

/**
 * Corner normals of a noisy surface with what is level or upright but for the noise made so.
 *
 * A point moved by a tilts a facet of size s by atan(a / s): many degrees where exporters leave slivers. So
 * flatness is judged by deviation: facets that hang together within a height of one level are level; a facet
 * that leans, over its own height, by no more than the noise is upright. Corners beside a level place that
 * shared their normal with it share the new one, so the surface still goes on smoothly there. All else stays
 * as it is: on a slope the tilts of neighbours average out along a border.
 *
 * @param normals (9 F) unit, from the noisy points
 * @param noiseMm root mean square of the heights of points over the true surface
 */
export function steadyNormals(
  mesh: Mesh,
  topology: Topology,
  facets: FacetNormals,
  normals: Float64Array,
  noiseMm: number,
): PerCorner<Float64Array> {
  const steady = normals.slice(),
    owned = new Uint8Array(normals.length / 3);
  const withinMm = WITHIN_NOISE * noiseMm;
  for (const up of [1, -1] as const) {
    const places = levelPlaces(mesh, topology, facets, up, withinMm).filter((place) =>
      isLevel(place, noiseMm),
    );
    const corners = places.flatMap(({ faces }) => faces.flatMap((f) => [3 * f, 3 * f + 1, 3 * f + 2]));
    for (const h of corners) {
      owned[h] = 1;
      steady[3 * h] = steady[3 * h + 1] = 0;
      steady[3 * h + 2] = up;
    }
    for (const h of corners) passOn(topology.twin, normals, steady, owned, h);
  }
  for (let f = 0; f < facets.areas.length; f++) {
    if (owned[3 * f] === 1) continue;
    keepOwnSide(facets.normals, steady, f);
    makeUpright(mesh, facets, steady, f, 2 * withinMm);
    if (turnsOver(steady, f)) steady.set(normals.subarray(9 * f, 9 * f + 9), 9 * f);
  }
  return perCorner(steady);
}

/** Whether a place is level by itself, and no strip that the noise leaves of a slope. */
function isLevel({ widthMm, rmsMm, slopeBeyond }: LevelPlace, noiseMm: number): boolean {
  const withinMm = WITHIN_NOISE * noiseMm;
  return (
    rmsMm <= LEVEL_SHARE * noiseMm &&
    Math.atan2(withinMm, widthMm) <= MOST_DOUBT_RAD &&
    slopeBeyond * widthMm >= LEAST_TURN * withinMm
  );
}

/** Gives the normal of corner `from` to the corners around its vertex that had the same one and own none. */
function passOn(
  twin: Int32Array,
  normals: Float64Array,
  steady: Float64Array,
  owned: Uint8Array,
  from: number,
): void {
  const take = (corner: number): boolean => {
    for (let i = 0; i < 3; i++) if (normals[3 * corner + i] !== normals[3 * from + i]) return false;
    if (owned[corner] === 0) for (let i = 0; i < 3; i++) steady[3 * corner + i] = steady[3 * from + i];
    return true;
  };
  for (let c = twin[prevCorner(from)]; c >= 0 && c !== from && take(c); c = twin[prevCorner(c)]) {
    /* one way round */
  }
  for (let t = twin[from]; t >= 0; t = twin[nextCorner(t)]) {
    if (nextCorner(t) === from || !take(nextCorner(t))) break;
  }
}

/**
 * Gives a facet's own normal to those of its corners whose normal is far from it: slivers that noise turned
 * round an edge of the part join the surfaces on both of its sides to one smooth group.
 */
function keepOwnSide(facetNormal: Float64Array, steady: Float64Array, f: number): void {
  if (Math.abs(facetNormal[3 * f + 2]) > MOST_LEAN) return;
  const nx = facetNormal[3 * f],
    ny = facetNormal[3 * f + 1],
    nz = facetNormal[3 * f + 2];
  for (let i = 9 * f; i < 9 * f + 9; i += 3) {
    if (steady[i] * nx + steady[i + 1] * ny + steady[i + 2] * nz >= OWN_SIDE_COSINE) continue;
    steady[i] = nx;
    steady[i + 1] = ny;
    steady[i + 2] = nz;
  }
}

/** Takes the lean out of a facet's normals if over the facet's height it is no more than `withinMm`. */
function makeUpright(
  { positions, triangles }: Mesh,
  facets: FacetNormals,
  steady: Float64Array,
  f: number,
  withinMm: number,
): void {
  const a = positions[3 * triangles[3 * f] + 2],
    b = positions[3 * triangles[3 * f + 1] + 2];
  const c = positions[3 * triangles[3 * f + 2] + 2];
  const height = Math.max(a, b, c) - Math.min(a, b, c);
  const nx = facets.normals[3 * f],
    ny = facets.normals[3 * f + 1],
    nz = facets.normals[3 * f + 2];
  if (Math.abs(nz) > MOST_LEAN || Math.abs(nz) * height > withinMm * Math.sqrt(nx * nx + ny * ny)) return;
  for (let i = 9 * f; i < 9 * f + 9; i += 3) {
    const across = Math.sqrt(steady[i] * steady[i] + steady[i + 1] * steady[i + 1]);
    if (across === 0) continue;
    steady[i] /= across;
    steady[i + 1] /= across;
    steady[i + 2] = 0;
  }
}

/** Whether two corners of a facet face away from each other: no surface passes through such normals. */
function turnsOver(steady: Float64Array, f: number): boolean {
  for (let k = 0; k < 3; k++) {
    const i = 9 * f + 3 * k,
      j = 9 * f + 3 * ((k + 1) % 3);
    if (steady[i] * steady[j] + steady[i + 1] * steady[j + 1] + steady[i + 2] * steady[j + 2] < 0)
      return true;
  }
  return false;
}

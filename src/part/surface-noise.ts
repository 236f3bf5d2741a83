import type { FacetNormals } from './facet-normals.js';
import type { Mesh, Topology } from './types.js';
import { nextCorner, prevCorner } from './half-edge.js';
import { levelPlaces, SEED_COSINE, type LevelPlace } from './level-places.js';

/**
 * Heights over and under a level within which noise is looked for, mm; what strays further is no surface to
 * finish.
 */
const WITHIN_MM = [0.05, 0.0125];
/**
 * Share of the surface facing up or down that must be noisy and level: on less it is an accident of the
 * facets.
 */
const NOISY_SHARE = 0.15;
/** Facets with a neighbour further above and one further below than this, mm, are rough; less is rounding. */
const ROUGH_MM = 5e-4;
/** Facets that meet at less, as a cosine, may be of one surface. */
const SMOOTH_COSINE = 0.8;
/**
 * Facets looked at in search of noise, the largest first: what it is like shows on them, and a large mesh has
 * no time.
 */
const MOST_VISITS = 200_000;
/** On less of the surface facing up or down, as a share, roughness is that of saddles and slivers. */
const ROUGH_SHARE = 0.1;
/** A place tells about noise if so many edges lie in it. */
const LEAST_EDGES = 20;
/** Root mean square of the bends below which a place is a plane, rad. */
const LEAST_BEND_RAD = 1e-4;
/**
 * Mean square of the bends over that of the tilts of both facets: 1 if tilts are independent, near 0 on a
 * curve.
 */
const LEAST_INDEPENDENCE = 0.5;
/** Bends of both signs: what is left of their squares when they are summed with their signs, as a share. */
const MOST_ONE_SIDED = 0.6;

/**
 * How far points of the mesh stray from the true surface: root mean square, mm; 0 where they do not, as in a
 * part exported from a model.
 *
 * On a curved surface tilts add up from facet to facet and bends have one sign; noise tilts each facet by
 * itself and bends both ways. So level places in which bends are as large as tilts, and of both signs, are
 * measured: the mean over them, by area, of the heights of their corners over their levels. A part without
 * level faces is not measured.
 */
export function surfaceNoise(mesh: Mesh, topology: Topology, facets: FacetNormals): number {
  const { areas, normals } = facets;
  const rough = roughFacets(mesh, topology, facets);
  let flatArea = 0,
    roughArea = 0,
    roughCount = 0;
  for (let f = 0; f < areas.length; f++) {
    if (Math.abs(normals[3 * f + 2]) <= SEED_COSINE) continue;
    flatArea += areas[f];
    if (rough[f] === 0) continue;
    roughArea += areas[f];
    roughCount++;
  }
  if (!(roughArea >= ROUGH_SHARE * flatArea && roughArea > 0)) return 0;
  // Places begin at facets of more than usual size; the others fall to them.
  const maySeed = (f: number): boolean => rough[f] === 1 && areas[f] * roughCount >= roughArea;
  for (const withinMm of WITHIN_MM) {
    const noisy = ([1, -1] as const)
      .flatMap((up) => levelPlaces(mesh, topology, facets, up, withinMm, maySeed, MOST_VISITS))
      .filter((place) => isNoisy(place, mesh, topology, facets));
    const area = noisy.reduce((sum, place) => sum + place.areaMm2, 0);
    if (area < NOISY_SHARE * flatArea) continue;
    return Math.sqrt(noisy.reduce((sum, place) => sum + place.areaMm2 * place.rmsMm ** 2, 0) / area);
  }
  return 0;
}

/** (F) 1 for facets that lie below a neighbour's corner and above another's, both going on smoothly. */
function roughFacets(mesh: Mesh, { twin }: Topology, { normals, areas }: FacetNormals): Uint8Array {
  const { positions, triangles } = mesh;
  const rough = new Uint8Array(areas.length);
  for (let f = 0; f < areas.length; f++) {
    const nx = normals[3 * f],
      ny = normals[3 * f + 1],
      nz = normals[3 * f + 2];
    const o = 3 * triangles[3 * f];
    const level = nx * positions[o] + ny * positions[o + 1] + nz * positions[o + 2];
    let low = 0,
      high = 0;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      if (twin[h] < 0) continue;
      const g = 3 * ((twin[h] / 3) | 0),
        v = 3 * triangles[prevCorner(twin[h])];
      if (nx * normals[g] + ny * normals[g + 1] + nz * normals[g + 2] < SMOOTH_COSINE) continue;
      const height = nx * positions[v] + ny * positions[v + 1] + nz * positions[v + 2] - level;
      if (height < low) low = height;
      if (height > high) high = height;
    }
    if (high > ROUGH_MM && low < -ROUGH_MM) rough[f] = 1;
  }
  return rough;
}

function isNoisy(place: LevelPlace, mesh: Mesh, { twin }: Topology, { normals }: FacetNormals): boolean {
  const inside = new Set(place.faces);
  const tilt = (f: number): number => 2 - 2 * Math.abs(normals[f + 2]);
  let bends = 0,
    signed = 0,
    tilts = 0,
    edges = 0;
  for (const face of place.faces) {
    for (let h = 3 * face; h < 3 * face + 3; h++) {
      const t = twin[h];
      if (t < h || !inside.has((t / 3) | 0)) continue;
      const f = 3 * face,
        g = 3 * ((t / 3) | 0);
      const square =
        2 - 2 * (normals[f] * normals[g] + normals[f + 1] * normals[g + 1] + normals[f + 2] * normals[g + 2]);
      bends += square;
      signed += isConvex(mesh, normals, h, t) ? square : -square;
      tilts += tilt(f) + tilt(g);
      edges++;
    }
  }
  return (
    edges >= LEAST_EDGES &&
    bends >= LEAST_BEND_RAD ** 2 * edges &&
    bends >= LEAST_INDEPENDENCE * tilts &&
    Math.abs(signed) <= MOST_ONE_SIDED * bends
  );
}

function isConvex({ positions, triangles }: Mesh, normals: Float64Array, h: number, t: number): boolean {
  const f = 3 * ((h / 3) | 0),
    v = 3 * triangles[prevCorner(t)],
    o = 3 * triangles[nextCorner(h)];
  return (
    normals[f] * (positions[v] - positions[o]) +
      normals[f + 1] * (positions[v + 1] - positions[o + 1]) +
      normals[f + 2] * (positions[v + 2] - positions[o + 2]) <
    0
  );
}

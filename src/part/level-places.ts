import { mapTo } from '../core/map-to.js';
import { edgeLength } from './facet-geometry.js';
import type { FacetNormals } from './facet-normals.js';
import { prevCorner } from './half-edge.js';
import type { Mesh, Topology } from './types.js';

/** Facets that hang together and whose corners all lie within a height of one level. */
export interface LevelPlace {
  readonly faces: readonly number[];
  readonly areaMm2: number;
  /** side of a square of the same area and perimeter, mm: four areas over the perimeter */
  readonly widthMm: number;
  /**
   * tangent of the slope on which the surface leaves the place beyond its border; Infinity if all of that is
   * open
   */
  readonly slopeBeyond: number;
  /**
   * share of the area that faces the side asked for, less the share that faces away: near 1 on a real place
   */
  readonly facing: number;
  /** root mean square of the corners' heights over the level, by area, mm */
  readonly rmsMm: number;
}

/** A place grows from a facet that faces up or down within this, as a cosine. */
export const SEED_COSINE = 0.9;
/**
 * What a place must face the side asked for: a sliver that noise turned over must not claim the floor around
 * it.
 */
const LEAST_FACING = 0.9;
/** Times that the level is found again from what it took in. */
const ROUNDS = 12;

/**
 * Grows level places from the largest facets on. A facet belongs to the first place that takes it; which way
 * it faces is asked of the first only, for noise turns the thinnest slivers over.
 *
 * @param up 1: facing up, -1: facing down
 * @param withinMm height over and under the level that corners may have, mm
 * @param maySeed which facets to start from
 * @param mostVisits facets looked at before it is enough
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share the marks of facets taken and seen.
export function levelPlaces(
  mesh: Mesh,
  topology: Topology,
  { normals, areas }: FacetNormals,
  up: 1 | -1,
  withinMm: number,
  maySeed: (f: number) => boolean = () => true,
  mostVisits = Infinity,
): LevelPlace[] {
  const { positions, triangles } = mesh;
  const taken = new Uint8Array(areas.length);
  const height = (h: number): number => positions[3 * triangles[h] + 2];
  const seeds = mapTo(new Uint32Array(areas.length), areas, (_, f) => f).filter(
    (f) => up * normals[3 * f + 2] > SEED_COSINE && maySeed(f),
  );
  seeds.sort((a, b) => areas[b] - areas[a] || a - b);
  const places: LevelPlace[] = [],
    seenIn = new Int32Array(areas.length).fill(-1);
  let searches = 0,
    visits = 0;
  for (const seed of seeds) {
    if (visits > mostVisits) break;
    if (taken[seed] === 1) continue;
    let faces = [seed],
      level = meanHeight(faces);
    for (let i = 0; i < ROUNDS && faces.length > 0; i++) {
      const grown = grow(seed, level),
        before = faces;
      faces = grown;
      if (faces.length === 0 || (faces.length === before.length && faces.every((f, j) => f === before[j])))
        break;
      level = meanHeight(faces);
    }
    taken[seed] = 1;
    if (faces.length === 0) continue;
    const place = measure(faces, level);
    if (place.facing < LEAST_FACING) continue;
    for (const f of faces) taken[f] = 1;
    places.push(place);
  }
  return places;

  function grow(seed: number, level: number): number[] {
    const liesIn = (f: number): boolean => {
      for (let h = 3 * f; h < 3 * f + 3; h++) if (Math.abs(height(h) - level) > withinMm) return false;
      return true;
    };
    if (!liesIn(seed)) return [];
    const found = [seed],
      search = searches++;
    seenIn[seed] = search;
    for (let i = 0; i < found.length; i++) {
      for (let h = 3 * found[i]; h < 3 * found[i] + 3; h++) {
        const g = (topology.twin[h] / 3) | 0;
        if (topology.twin[h] < 0 || seenIn[g] === search || taken[g] === 1 || !liesIn(g)) continue;
        seenIn[g] = search;
        found.push(g);
      }
    }
    visits += found.length;
    return found;
  }

  function meanHeight(faces: readonly number[]): number {
    let sum = 0,
      area = 0;
    for (const f of faces) {
      sum += (areas[f] * (height(3 * f) + height(3 * f + 1) + height(3 * f + 2))) / 3;
      area += areas[f];
    }
    return area > 0 ? sum / area : height(3 * faces[0]);
  }

  function measure(faces: readonly number[], level: number): LevelPlace {
    const inside = new Set(faces);
    let squares = 0,
      perimeter = 0,
      area = 0,
      facing = 0,
      rise = 0,
      way = 0;
    for (const f of faces) {
      area += areas[f];
      facing += areas[f] * up * normals[3 * f + 2];
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        squares += (areas[f] * (height(h) - level) ** 2) / 3;
        const t = topology.twin[h];
        if (t >= 0 && inside.has((t / 3) | 0)) continue;
        const length = edgeLength(mesh, h);
        perimeter += length;
        if (t < 0) continue;
        // Length of the border times the height, and the distance, of the corner opposite to it.
        rise += length * Math.max(0, Math.abs(height(prevCorner(t)) - level) - withinMm);
        way += 2 * areas[(t / 3) | 0];
      }
    }
    const share = area > 0 ? 1 / area : 0;
    return {
      faces,
      areaMm2: area,
      facing: facing * share,
      slopeBeyond: way > 0 ? rise / way : Infinity,
      widthMm: perimeter > 0 ? (4 * area) / perimeter : 0,
      rmsMm: Math.sqrt(squares * share),
    };
  }
}

import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { SurfaceArrays } from '../surface/surface-builder.js';
import { cellCourse } from './cell-course.js';
import { byPlace } from './place-order.js';
import { ringWalk, type RingWalk } from './ring-walk.js';

/** What is known of a mesh that may be denser than reach changes. */
export interface CellOptions {
  /**
   * (V) a corner of each vertex that machinable facets of one normal close round; -1 of those not to be told
   */
  readonly corner: Int32Array;
  /** edges between samples, coarse to fine: see `cellDepths` */
  readonly depths: readonly number[];
  /** how far two samples may be apart where reach radii are between these, mm */
  readonly apartMm: (least: number, most: number) => number;
  /** whether a reach radius lies so near a radius surveyed that it must be asked */
  readonly isNear: (radius: number) => boolean;
  readonly toleranceMm: number;
}

/**
 * Samples are picked up to about this far apart, mm; on a mesh too coarse for two edges between them it is
 * quicker to ask every vertex, since the contacts of a near one help.
 */
const SAMPLES_APART_MM = 1.2;
const MOST_DEPTH = 8;

/**
 * How many edges samples should be apart on a surface, first to last: powers of two down to 1; none where
 * every vertex is to be asked.
 *
 * @param faces of the arrays, how many count
 */
export function cellDepths({ positions, triangles, labels }: SurfaceArrays, faces: number): number[] {
  let area = 0,
    count = 0;
  for (let f = 0; f < faces; f++) {
    if (labels[f] >= MACHINABLE_CLASSES) continue;
    const a = 3 * triangles[3 * f],
      b = 3 * triangles[3 * f + 1],
      c = 3 * triangles[3 * f + 2];
    const ux = positions[b] - positions[a],
      uy = positions[b + 1] - positions[a + 1];
    const vx = positions[c] - positions[a],
      vy = positions[c + 1] - positions[a + 1];
    const uz = positions[b + 2] - positions[a + 2],
      vz = positions[c + 2] - positions[a + 2];
    const x = uy * vz - uz * vy,
      y = uz * vx - ux * vz,
      z = ux * vy - uy * vx;
    area += 0.5 * Math.sqrt(x * x + y * y + z * z);
    count++;
  }
  // Of an equilateral facet of the mean area.
  const edge = Math.sqrt((4 / Math.sqrt(3)) * (area / Math.max(1, count)));
  const depths: number[] = [];
  for (let depth = MOST_DEPTH; depth >= 1; depth /= 2)
    if (2 * depth * edge <= SAMPLES_APART_MM) depths.push(depth);
  return depths.length > 1 ? depths : [];
}

/**
 * Reach radii of the vertices of a dense mesh, of which only as many are asked as it takes to see that the
 * reach radius runs linearly between them.
 *
 * Samples are picked so that no two are within so many edges of each other, and asked. Where those about a
 * sample follow one linear course along the surface, the vertices nearer to it than to others are told from
 * it; where they do not, more samples are picked between them, and in the end every vertex. A vertex whose
 * normal is not where the samples' normals expect it stands on something that they do not show, and is asked
 * as well.
 *
 * Which vertices are picked depends on their places, not on their order.
 *
 * @param reach (V) mm; filled in where a vertex has a corner
 * @param ask fills in `reach` of some vertices
 * @returns (V) 1 where reach runs linearly about a vertex
 */
export async function reachInCells(
  surface: SurfaceArrays,
  reach: Float64Array,
  options: CellOptions,
  ask: (vertices: Int32Array) => Promise<void>,
): Promise<Uint8Array> {
  const { corner, depths, isNear } = options;
  const count = corner.length;
  const sampled = new Uint8Array(count),
    isLinear = new Uint8Array(count);
  if (depths.length === 0) return isLinear;
  const walk = ringWalk(surface, corner),
    order = byPlace(surface.positions, corner);
  const course = cellCourse(surface, walk, reach, sampled, options);
  const askAll = async (vertices: Int32Array): Promise<void> => {
    await ask(vertices);
    for (const v of vertices) sampled[v] = 1;
  };
  for (const depth of depths) {
    await askAll(picks(walk, order, reach, sampled, depth));
    const owner = owners(walk, order, sampled, depth);
    for (const s of order) {
      if (sampled[s] === 0 || !course.fit(s, depth)) continue;
      isLinear[s] = 1;
      walk(s, depth, (v) => {
        if (owner[v] !== s) return false;
        if (!Number.isNaN(reach[v])) return true;
        const told = course.at(v);
        if (Number.isNaN(told)) return true;
        isLinear[v] = 1;
        if (!isNear(told)) reach[v] = told;
        return true;
      });
    }
  }
  await askAll(order.filter((v) => Number.isNaN(reach[v])));
  return isLinear;
}

/** Unknown vertices of which none is within so many edges of another or of a sample. */
function picks(
  walk: RingWalk,
  order: Int32Array,
  reach: Float64Array,
  sampled: Uint8Array,
  depth: number,
): Int32Array {
  const isNear = new Uint8Array(sampled.length);
  const cover = (v: number): void =>
    walk(v, depth, (w) => {
      isNear[w] = 1;
      return true;
    });
  for (const v of order) if (sampled[v] === 1) cover(v);
  return order.filter((v) => {
    if (isNear[v] === 1 || !Number.isNaN(reach[v])) return false;
    cover(v);
    return true;
  });
}

/** Nearest sample of each vertex by edges, -1: none within the depth. */
function owners(walk: RingWalk, order: Int32Array, sampled: Uint8Array, depth: number): Int32Array {
  const owner = new Int32Array(sampled.length).fill(-1),
    away = new Uint8Array(sampled.length).fill(255);
  for (const s of order) {
    if (sampled[s] === 0) continue;
    walk(s, depth, (v, edges) => {
      if (edges >= away[v]) return false;
      owner[v] = s;
      away[v] = edges;
      return true;
    });
  }
  return owner;
}

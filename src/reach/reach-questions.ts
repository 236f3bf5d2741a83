import { MACHINABLE_CLASSES } from '../core/classes.js';
import { placeOf, type Place } from '../part/facet-geometry.js';
import { nextCorner, prevCorner } from '../part/half-edge.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { SurfaceArrays, SurfaceBuilder } from '../surface/surface-builder.js';
import { growingNumbers, type GrowingNumbers } from '../core/growing-numbers.js';
import { cellDepths } from './reach-cells.js';
import { POINT_STRIDE } from './reach-kernels.js';

/** Normals of one vertex that differ by less, squared, are the same. */
const SAME_NORMAL = 1e-6;

/** Points to be asked about. */
export interface Questions {
  /** what each question is for, a vertex or an edge's middle; on a crease one asks once for each of its sides */
  readonly vertices: GrowingNumbers;
  readonly items: GrowingNumbers;
}

export const noQuestions = (): Questions => ({ vertices: growingNumbers(), items: growingNumbers() });

export interface InitialQuestions {
  /** (V) a corner of each vertex that need not be asked if others near it say enough; else -1 */
  readonly corner: Int32Array;
  /** see `reachInCells` */
  readonly depths: readonly number[];
  /** about all other vertices */
  readonly questions: Questions;
}

/** What is to be asked of a surface before any of its facets is split. */
export function initialQuestions(build: SurfaceBuilder, part: SmoothPart): InitialQuestions {
  const arrays = build.arrays();
  const { triangles, normals, labels } = arrays;
  const corner = new Int32Array(build.vertexCount()).fill(-1);
  const others = new Map<number, number[]>();
  const corners = 3 * build.faceCount();
  for (let h = 0; h < corners; h++) {
    if (labels[(h / 3) | 0] >= MACHINABLE_CLASSES) continue;
    const v = triangles[h];
    if (corner[v] < 0) {
      corner[v] = h;
    } else if (!sameNormal(normals, corner[v], h)) {
      const more = others.get(v);
      if (!more) others.set(v, [h]);
      else if (!more.some((g) => sameNormal(normals, g, h))) more.push(h);
    }
  }
  const depths = cellDepths(arrays, build.faceCount());
  const questions = noQuestions();
  for (let v = 0; v < corner.length; v++) {
    if (corner[v] < 0) continue;
    const more = others.get(v);
    if (depths.length > 0 && !more && isFan(arrays, corner[v])) continue;
    for (const h of [corner[v], ...(more ?? [])]) ask(build, v, h, part, questions);
    corner[v] = -1;
  }
  return { corner, depths, questions };
}

/** Whether facets that are asked about close round the vertex of a corner. */
function isFan({ twin, labels }: SurfaceArrays, corner: number): boolean {
  let h = corner;
  do {
    h = twin[prevCorner(h)];
    if (h < 0 || labels[(h / 3) | 0] >= MACHINABLE_CLASSES) return false;
  } while (h !== corner);
  return true;
}

/** Whether two corners' normals are one. */
export function sameNormal(normals: Float64Array, g: number, h: number): boolean {
  const x = normals[3 * g] - normals[3 * h],
    y = normals[3 * g + 1] - normals[3 * h + 1];
  const z = normals[3 * g + 2] - normals[3 * h + 2];
  return x * x + y * y + z * z < SAME_NORMAL;
}

const place = new Float64Array(6);

/** Asks about vertex v, moved onto the true surface, as a point of the facet of corner h. */
export function ask(
  build: SurfaceBuilder,
  v: number,
  h: number,
  part: SmoothPart,
  questions: Questions,
): void {
  askAt(build, v, h, part, questions, placeOf(build.arrays().positions, v));
}

/** Asks about the middle of edge h, on either side of a crease. @param slot what the answers are told for */
export function askMiddle(
  build: SurfaceBuilder,
  h: number,
  slot: number,
  part: SmoothPart,
  questions: Questions,
): void {
  const { positions, triangles, twin, normals, labels } = build.arrays();
  const next = nextCorner(h),
    t = twin[h];
  const end = placeOf(positions, triangles[next]);
  const [x, y, z] = placeOf(positions, triangles[h]).map((from, i) => 0.5 * (from + end[i]));
  askAt(build, slot, h, part, questions, [x, y, z]);
  if (t < 0 || labels[(t / 3) | 0] >= MACHINABLE_CLASSES) return;
  // The twin's first corner is the edge's second.
  if (!sameNormal(normals, h, nextCorner(t)) || !sameNormal(normals, next, t))
    askAt(build, slot, t, part, questions, [x, y, z]);
}

/** Asks about a place, moved onto the true surface, as a point of the facet of corner h. */
function askAt(
  build: SurfaceBuilder,
  slot: number,
  h: number,
  part: SmoothPart,
  questions: Questions,
  [x, y, z]: Place,
): void {
  onTrueSurface(part, build.arrays().parent[(h / 3) | 0], x, y, z, place);
  questions.vertices.push(slot);
  for (const value of place) questions.items.push(value);
  if (questions.items.length() % POINT_STRIDE !== 0)
    throw new RangeError('ask: a question has gone out of step');
}

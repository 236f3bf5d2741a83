import { mapTo } from '../core/map-to.js';
import { tick, type Context } from '../core/context.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { growingNumbers, withRoom } from '../core/growing-numbers.js';
import { nextCorner } from '../part/half-edge.js';
import type { SmoothPart } from '../part/sagittas.js';
import { longestEdge, nextToBisect } from '../surface/longest-edge.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { reachInCells } from './reach-cells.js';
import type { ReachAnswers } from './reach-engine.js';
import { POINT_STRIDE } from './reach-kernels.js';
import { ask, initialQuestions, noQuestions, splitEdge, type Questions } from './reach-questions.js';

/** Count of a vertex that no machinable facet uses: it was not asked about. */
export const NOT_ASKED = 255;

export interface SampleOptions {
  /** ascending, mm, the allowance left on the part included */
  readonly radii: Float64Array;
  /** facets that every radius reaches are looked at in pieces no longer than this, mm */
  readonly coarseMm: number;
  /** where points of the surface truly lie: samples are taken there, not on the chords */
  readonly part: SmoothPart;
  /** whether a point is surely reached by the largest radius; what it leaves open is asked exactly */
  readonly isOpen: (x: number, y: number, z: number, nx: number, ny: number, nz: number) => boolean;
  /** beyond this many facets no more are split */
  readonly mostFaces: number;
  readonly toleranceMm: number;
}

export interface ReachSamples {
  /** (V) largest radius that reaches each vertex of the refined surface, mm; Infinity: all; NaN: not asked */
  readonly reachRadii: Float64Array;
  /** (V) how many of the radii that are; `NOT_ASKED` */
  readonly counts: Uint8Array;
  /**
   * (V) 1 where reach radii run linearly between vertices that say the same: borders there need not be asked
   */
  readonly isLinear: Uint8Array;
  /** whether the limit on facets stopped the refinement */
  readonly capped: boolean;
  /** questions that the grid settled, and that went to exact queries */
  readonly settledByGrid: number;
  readonly asked: number;
}

/** Where a cutter of radius R fails, its border is looked for on facets this share of R long. */
const FINE_SHARE = 0.5;
/** The same where it fails at all three corners, so that no border is in sight. */
const EVEN_SHARE = 1;
const FINEST_MM = 0.2;
/** How reach runs along the edge that a vertex halved; unknown of vertices that halved none. */
const COURSE = { unknown: 0, straight: 1, bent: 2 } as const;
/** A middle whose reach radius is off the mean of the ends' by no more, mm and as a share, shows a straight course. */
const STRAIGHT_MM = 0.004,
  STRAIGHT_OF = 0.004;
/** Where reach runs straight, facets may be so many times as long. */
const STRAIGHT_SHARE = 4;
/** Reach radii this near one of those surveyed, in mm and of the radius, are not told from others. */
const NEAR_MM = 0.006,
  NEAR_SHARE = 0.006;
const isNearRadius = (radius: number, reach: number): boolean =>
  Math.abs(radius - reach) < NEAR_MM + NEAR_SHARE * radius;

/**
 * Finds the reach radius of every vertex, and splits machinable facets until what happens inside them
 * shows at their corners: a pocket's floor of two triangles has all its corners in the pocket's corners.
 *
 * Works in waves: all vertices new since the last wave are asked about at once, so that threads can share
 * them.
 *
 * @param build classes as labels; refined in place
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one loop of asking and splitting.
export async function sampleReach(
  build: SurfaceBuilder,
  engine: ReachAnswers,
  options: SampleOptions,
  context: Context,
): Promise<ReachSamples> {
  const { radii, part } = options;
  let reach = new Float64Array(build.vertexCount()).fill(NaN);
  let capped = false,
    settledByGrid = 0,
    asked = 0;
  const answer = async (questions: Questions, report: (fraction: number) => void): Promise<void> => {
    const left = settleOpen(questions, options, reach);
    settledByGrid += questions.vertices.length() - left.vertices.length();
    asked += left.vertices.length();
    const items = left.items.toArray();
    const answers = await engine.run({ kind: 'reach', items, radii }, context.signal, report);
    left.vertices.toArray().forEach((v, i) => {
      reach[v] = Number.isNaN(reach[v]) ? answers[i] : Math.max(reach[v], answers[i]);
    });
  };
  const { corner, depths, questions: first } = initialQuestions(build, part);
  let batch = 0;
  const report = (fraction: number): void =>
    tick(context, 'reach', (0.5 * (batch + fraction)) / (depths.length + 2));
  await answer(first, report);
  const linear = await reachInCells(
    build.arrays(),
    reach,
    {
      corner,
      depths,
      toleranceMm: options.toleranceMm,
      apartMm: (least, most) => apartLimit(least, most, options),
      isNear: (radius) => radii.some((one) => isNearRadius(one, radius)),
    },
    async (vertices) => {
      const questions = noQuestions();
      for (const v of vertices) ask(build, v, corner[v], part, questions);
      batch++;
      await answer(questions, report);
    },
  );
  let course: Uint8Array = new Uint8Array(reach.length);
  for (let wave = 0; ; wave++) {
    const questions = noQuestions(),
      halved = growingNumbers();
    for (let f = 0; f < build.faceCount(); f++) {
      if (build.faceCount() >= options.mostFaces) {
        capped = true;
        break;
      }
      const limit = pieceLimit(build, f, reach, course, options);
      if (limit === Infinity || longestEdge(build, f).lengthMm <= limit) continue;
      const h = nextToBisect(build, f),
        { triangles } = build.arrays();
      const ends = [triangles[h], triangles[nextCorner(h)]];
      for (const v of [splitEdge(build, h, part, questions), ...ends]) halved.push(v);
    }
    if (questions.vertices.length() === 0) break;
    reach = longer(reach, build.vertexCount());
    await answer(questions, (fraction) =>
      tick(context, 'reach', 1 - 0.5 ** (wave + 1) * (1 - 0.5 * fraction)),
    );
    course = coursesOf(halved.toArray(), reach, withRoom(course, reach.length, Uint8Array), options);
  }
  const reachRadii = longer(reach, build.vertexCount());
  const isLinear = new Uint8Array(reachRadii.length);
  isLinear.set(linear);
  return { reachRadii, isLinear, counts: countsOf(reachRadii, radii), capped, settledByGrid, asked };
}

/** How many of the radii each reach radius allows. */
function countsOf(reachRadii: Float64Array, radii: Float64Array): Uint8Array {
  return mapTo(new Uint8Array(reachRadii.length), reachRadii, (reach) =>
    Number.isNaN(reach) ? NOT_ASKED : countOf(reach, radii),
  );
}

function countOf(reach: number, radii: Float64Array): number {
  let count = 0;
  while (count < radii.length && radii[count] <= reach) count++;
  return count;
}

/** Gives vertices that the grid settles no limit; returns the questions it leaves. */
function settleOpen(questions: Questions, { isOpen }: SampleOptions, reach: Float64Array): Questions {
  const left = noQuestions();
  const items = questions.items.toArray();
  questions.vertices.toArray().forEach((v, i) => {
    const o = POINT_STRIDE * i;
    if (reach[v] === Infinity) return;
    if (isOpen(items[o], items[o + 1], items[o + 2], items[o + 3], items[o + 4], items[o + 5])) {
      reach[v] = Infinity;
      return;
    }
    left.vertices.push(v);
    for (let k = 0; k < POINT_STRIDE; k++) left.items.push(items[o + k]);
  });
  return left;
}

/** The same numbers with room for vertices that were added since. */
function longer(reach: Float64Array, vertices: number): Float64Array<ArrayBuffer> {
  const out = new Float64Array(vertices).fill(NaN);
  out.set(reach);
  return out;
}

/** How long an edge the facet may have; Infinity if that cannot be told yet or does not matter. */
function pieceLimit(
  build: SurfaceBuilder,
  f: number,
  reach: Float64Array,
  course: Uint8Array,
  options: SampleOptions,
): number {
  const { triangles, labels } = build.arrays();
  if (labels[f] >= MACHINABLE_CLASSES) return Infinity;
  let least = Infinity,
    most = 0,
    seen: number = COURSE.unknown;
  for (let k = 0; k < 3; k++) {
    const v = triangles[3 * f + k];
    if (v >= reach.length || Number.isNaN(reach[v])) return Infinity;
    least = Math.min(least, reach[v]);
    most = Math.max(most, reach[v]);
    seen = Math.max(seen, course[v]);
  }
  const limit = apartLimit(least, most, options);
  return seen === COURSE.straight ? Math.min(options.coarseMm, STRAIGHT_SHARE * limit) : limit;
}

/**
 * Adds what the middles of halved edges show: whether reach runs straight from one end to the other, as far as the
 * largest radius asked.
 *
 * @param halved (3 N) middle, and the two ends
 */
function coursesOf(
  halved: Float64Array,
  reach: Float64Array,
  course: Uint8Array,
  { radii }: SampleOptions,
): Uint8Array {
  const most = radii[radii.length - 1];
  for (let i = 0; i < halved.length; i += 3) {
    const [middle, a, b] = [0, 1, 2].map((k) => Math.min(most, reach[halved[i + k]]));
    const off = Math.abs(middle - 0.5 * (a + b));
    course[halved[i]] = off <= STRAIGHT_MM + STRAIGHT_OF * middle ? COURSE.straight : COURSE.bent;
  }
  return course;
}

/** How far apart vertices may be between which reach radii are these, mm. */
function apartLimit(least: number, most: number, { radii, coarseMm }: SampleOptions): number {
  const count = countOf(least, radii);
  if (count >= radii.length) return coarseMm;
  const share = most < radii[count] ? EVEN_SHARE : FINE_SHARE;
  return Math.min(coarseMm, Math.max(FINEST_MM, share * radii[count]));
}

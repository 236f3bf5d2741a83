import { mapTo } from '../core/map-to.js';
import { tick, type Context } from '../core/context.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Mesh } from '../part/types.js';
import { doubleArea, edgeLength } from '../part/facet-geometry.js';
import { nextCorner } from '../part/half-edge.js';
import type { SmoothPart } from '../part/sagittas.js';
import { clearFacets, type Clear } from './clear-facets.js';
import { edgeKey } from '../surface/edge-key.js';
import type { SurfaceArrays, SurfaceBuilder } from '../surface/surface-builder.js';
import { reachInCells } from './reach-cells.js';
import type { ReachAnswers } from './reach-engine.js';
import { POINT_STRIDE } from './reach-kernels.js';
import { isStraight, toldByMiddles, type BorderTold } from './reach-middles.js';
import { reachAtCorner, takeAnswers, type SidedReach } from './sided-reach.js';
import { ask, askMiddle, initialQuestions, noQuestions, type Questions } from './reach-questions.js';

/**
 * So many facets may be added where reach is sampled of a surface of that many: the most is some hundred megabytes and a
 * minute of questions. Parts of some thousand facets take up to 150 000; only facets that cut through each other more.
 */
export const mostAdded = (faces: number): number => Math.min(1_000_000, 250_000 + 25 * faces);
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
  /** whether edges may be long where these radii's reach runs straight: others' need not run so */
  readonly mayBeLong: boolean;
}

export interface ReachSamples {
  /** (V) largest radius that reaches each vertex of the refined surface, mm; Infinity: all; NaN: not asked */
  readonly reachRadii: Float64Array;
  /** (V) how many of the radii that are; `NOT_ASKED` */
  readonly counts: Uint8Array;
  /** where borders lie that need not be asked */
  readonly toldBorder: BorderTold;
  /** whether the limit on facets stopped the refinement */
  readonly capped: boolean;
  /** questions that the grid settled, and that went to exact queries */
  readonly settledByGrid: number;
  readonly asked: number;
}

/**
 * An edge along which reach does not run straight may be as long as this share of the smallest radius that fails at a
 * corner of its facet, where it reaches another corner.
 */
const FINE_SHARE = 0.5;
/** The same where it fails at all three, so that no border is in sight. */
const EVEN_SHARE = 1;
/** No shorter edge is split, and of none the middle is asked to place a border, mm. */
const FINEST_MM = 0.2;
/** The middle of a short edge is asked where it may place so many borders at once: one is found as quickly itself. */
const LEAST_BORDERS = 2;
/** Where reach runs straight, edges may be so many times as long, and so many times what they may be in the open. */
const STRAIGHT_SHARE = 16,
  OPEN_SHARE = 4;
/**
 * Facets thinner than this, mm, are split no further: where reach leaps, as it may from one side of a crease to the
 * other, there is no end to it. The mesh's own thin facets are split down to half their width.
 */
const THINNEST_MM = 0.004;
/** Reach radii this near one of those surveyed, in mm and of the radius, are not told from others. */
const NEAR_MM = 0.006,
  NEAR_SHARE = 0.006;
const isNearRadius = (radius: number, reach: number): boolean =>
  Math.abs(radius - reach) < NEAR_MM + NEAR_SHARE * radius;

/** Finds reach radii of the places asked about. */
type Answer = (questions: Questions, out: SidedReach, report: (fraction: number) => void) => Promise<void>;

/**
 * Finds the reach radius of every vertex, and splits machinable facets until what happens inside them
 * shows at their corners: a pocket's floor of two triangles has all its corners in the pocket's corners.
 *
 * Beside straight corners reach runs straight, so it is not the length of an edge that decides but whether the reach
 * radius of its middle is what the ends foretell. Works in waves: all middles of edges that are new since the last
 * wave are asked about at once, so that threads can share them; those that are off become vertices.
 *
 * @param build classes as labels; refined in place
 */
export async function sampleReach(
  build: SurfaceBuilder,
  engine: ReachAnswers,
  options: SampleOptions,
  context: Context,
): Promise<ReachSamples> {
  const { radii, part } = options;
  const { answer, counts } = answering(engine, options, context);
  const reach = new Float64Array(build.vertexCount()).fill(NaN);
  const known: SidedReach = { reach, sides: new Map() };
  const { corner, depths, questions: first } = initialQuestions(build, part);
  let batch = 0;
  const report = (fraction: number): void =>
    tick(context, 'reach', (0.5 * (batch + fraction)) / (depths.length + 2));
  await answer(first, known, report);
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
      await answer(questions, known, report);
    },
  );
  const { reachRadii, told, capped } = await refine(
    build,
    known,
    linear,
    { answer, clear: clearFacets(engine, { ...options, radiusMm: mostOf(options) }, context.signal) },
    options,
    context,
  );
  return {
    reachRadii,
    toldBorder: told,
    counts: countsOf(reachRadii, radii),
    capped,
    ...counts,
  };
}

/** Answers by the grid where it can, else by the engine, and counts both. */
function answering(
  engine: ReachAnswers,
  options: SampleOptions,
  { signal }: Context,
): { readonly answer: Answer; readonly counts: { settledByGrid: number; asked: number } } {
  const counts = { settledByGrid: 0, asked: 0 };
  const answer: Answer = async (questions, out, report) => {
    const places = questions.vertices.toArray(),
      items = questions.items.toArray(),
      found = new Float64Array(places.length).fill(Infinity);
    const open = Int32Array.from(places.keys()).filter((i) => !isSettled(items, POINT_STRIDE * i, options));
    counts.settledByGrid += places.length - open.length;
    counts.asked += open.length;
    const asked = new Float64Array(POINT_STRIDE * open.length);
    open.forEach((i, k) => {
      asked.set(items.subarray(POINT_STRIDE * i, POINT_STRIDE * (i + 1)), POINT_STRIDE * k);
    });
    const answers = await engine.run({ kind: 'reach', items: asked, radii: options.radii }, signal, report);
    open.forEach((i, k) => {
      found[i] = answers[k];
    });
    takeAnswers(out, places, items, found, mostOf(options));
  };
  return { answer, counts };
}

/** Reach radii in the middles of edges, by `edgeKey`. */
interface Middles {
  readonly reach: Map<number, number>;
  /** see `SidedReach` */
  readonly sides: Map<number, readonly number[]>;
}

interface Refined {
  readonly reachRadii: Float64Array;
  readonly told: BorderTold;
  readonly capped: boolean;
}

async function refine(
  build: SurfaceBuilder,
  first: SidedReach,
  linear: Uint8Array,
  { answer, clear }: { readonly answer: Answer; readonly clear: Clear },
  options: SampleOptions,
  context: Context,
): Promise<Refined> {
  let known = first,
    capped = false;
  const middles: Middles = { reach: new Map(), sides: new Map() };
  let changed: readonly number[] = Array.from({ length: build.faceCount() }, (_, f) => f);
  for (let wave = 0; !capped; wave++) {
    const questions = noQuestions();
    await clear.look(build, changed, known);
    changed = changed.filter((f) => !clear.is(f));
    const keys = askMiddles(build, changed, known, linear, middles, questions, options);
    if (keys.length === 0) break;
    const found: SidedReach = { reach: new Float64Array(keys.length).fill(NaN), sides: new Map() };
    await answer(questions, found, (fraction) =>
      tick(context, 'reach', 1 - 0.5 ** (wave + 1) * (1 - 0.5 * fraction)),
    );
    keys.forEach((key, i) => middles.reach.set(key, found.reach[i]));
    for (const [i, own] of found.sides) middles.sides.set(keys[i], own);
    ({ known, changed, capped } = splitLong(build, changed, known, middles, clear, options));
  }
  const reachRadii = longer(known.reach, build.vertexCount());
  const isLinear = new Uint8Array(reachRadii.length);
  isLinear.set(linear);
  return {
    reachRadii,
    capped,
    told: toldBorders({ ...known, reach: reachRadii }, middles, isLinear, options),
  };
}

/** Borders follow from middles where no end, and no middle, has sides that differ. */
function toldBorders(
  { reach, sides }: SidedReach,
  middles: Middles,
  isLinear: Uint8Array,
  options: SampleOptions,
): BorderTold {
  for (const key of middles.sides.keys()) middles.reach.delete(key);
  const told = toldByMiddles(reach, middles.reach, isLinear, mostOf(options));
  return (out, reached, radius) => (sides.has(out) || sides.has(reached) ? NaN : told(out, reached, radius));
}

/** Asks about the middles of the facets' edges that are too long to do without. @returns the edges, by `edgeKey` */
function askMiddles(
  build: SurfaceBuilder,
  faces: readonly number[],
  known: SidedReach,
  isLinear: Uint8Array,
  middles: Middles,
  questions: Questions,
  options: SampleOptions,
): number[] {
  const keys: number[] = [];
  const arrays = build.arrays(),
    { triangles, labels } = arrays;
  for (const f of faces) {
    if (labels[f] >= MACHINABLE_CLASSES) continue;
    const limit = pieceLimit(arrays, f, known, options);
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const next = nextCorner(h),
        a = triangles[h],
        b = triangles[next],
        key = edgeKey(a, b);
      if (middles.reach.has(key)) continue;
      const isTold = isLinear[a] === 1 && isLinear[b] === 1;
      const isAsked = !isTold && bordersBetween(known.reach[a], known.reach[b], options) >= LEAST_BORDERS;
      if (edgeLength(arrays, h) <= (isAsked ? FINEST_MM : limit)) continue;
      middles.reach.set(key, NaN);
      askMiddle(build, h, keys.length, options.part, questions);
      keys.push(key);
    }
  }
  return keys;
}

interface Split {
  readonly known: SidedReach;
  /** facets with edges that are new */
  readonly changed: readonly number[];
  readonly capped: boolean;
}

/** Splits the facets' edges that are too long for what their middles show. */
function splitLong(
  build: SurfaceBuilder,
  faces: readonly number[],
  before: SidedReach,
  middles: Middles,
  clear: Clear,
  options: SampleOptions,
): Split {
  let known = before;
  const changed = new Set<number>();
  // Facets grow under this loop: halves are looked at in their turn.
  const left = [...faces];
  for (let f = left.pop(); f !== undefined; f = left.pop()) {
    const arrays = build.arrays();
    if (arrays.labels[f] >= MACHINABLE_CLASSES || clear.is(f)) continue;
    const h = longEdge(arrays, f, known, middles, options);
    if (h < 0 || isThin(arrays, f, options.part)) continue;
    if (build.faceCount() >= options.mostFaces) return { known, changed: [], capped: true };
    const key = edgeKey(arrays.triangles[h], arrays.triangles[nextCorner(h)]);
    const beyond = arrays.twin[h],
      count = build.faceCount();
    const v = build.bisect(h, 0.5);
    clear.cut(f, count);
    if (beyond >= 0) clear.cut((beyond / 3) | 0, count + 1);
    if (v >= known.reach.length) known = { ...known, reach: longer(known.reach, 2 * v) };
    takeMiddle(known, v, middles, key);
    const halves = [f, count, ...(beyond < 0 ? [] : [(beyond / 3) | 0, count + 1])];
    for (const half of halves) {
      changed.add(half);
      left.push(half);
    }
  }
  return { known, changed: [...changed], capped: false };
}

/** What is known of an edge's middle is known of the vertex put there. */
function takeMiddle({ reach, sides }: SidedReach, v: number, middles: Middles, key: number): void {
  const own = middles.sides.get(key);
  reach[v] = middles.reach.get(key) ?? NaN;
  if (own) sides.set(v, own);
  middles.reach.delete(key);
  middles.sides.delete(key);
}

function isThin(arrays: SurfaceArrays, f: number, part: SmoothPart): boolean {
  const width = widthOf(arrays, f);
  return width < THINNEST_MM && width < 0.5 * widthOf(part.mesh, arrays.parent[f]);
}

const cross = new Float64Array(3);

/** Height of a facet over its longest edge, mm. */
const widthOf = (mesh: Mesh, f: number): number =>
  doubleArea(mesh, f, cross) / Math.max(...[0, 1, 2].map((k) => edgeLength(mesh, 3 * f + k)));

/** The longest edge of facet f that is too long for what its middle shows; -1: none. */
function longEdge(
  arrays: SurfaceArrays,
  f: number,
  known: SidedReach,
  middles: Middles,
  options: SampleOptions,
): number {
  const { triangles } = arrays,
    { coarseMm } = options;
  const limit = pieceLimit(arrays, f, known, options);
  let longest = 0,
    at = -1;
  const ifStraight = Math.max(coarseMm, Math.min(STRAIGHT_SHARE * limit, OPEN_SHARE * coarseMm));
  for (let h = 3 * f; h < 3 * f + 3; h++) {
    const a = triangles[h],
      b = triangles[nextCorner(h)],
      key = edgeKey(a, b),
      middle = middles.reach.get(key);
    if (middle === undefined) continue;
    const [from, to] = [known.reach[a], known.reach[b]];
    // Where all radii reach nothing shows what may be between, and beside a place that counts as reached for another
    // side's sake a border would be missed.
    const isOpen = Math.min(from, middle, to) >= mostOf(options);
    const isSided = known.sides.has(a) || known.sides.has(b) || middles.sides.has(key);
    const isCourse =
      options.mayBeLong && !isOpen && !isSided && isStraight(from, middle, to, mostOf(options));
    const length = edgeLength(arrays, h);
    if (length <= Math.max(longest, isCourse ? ifStraight : limit)) continue;
    longest = length;
    at = h;
  }
  return at;
}

/** How many of the radii each reach radius allows. */
function countsOf(reachRadii: Float64Array, radii: Float64Array): Uint8Array {
  return mapTo(new Uint8Array(reachRadii.length), reachRadii, (reach) =>
    Number.isNaN(reach) ? NOT_ASKED : countOf(reach, radii),
  );
}

/** How many borders cross an edge between these reach radii. */
const bordersBetween = (one: number, other: number, { radii }: SampleOptions): number =>
  Math.abs(countOf(one, radii) - countOf(other, radii));

function countOf(reach: number, radii: Float64Array): number {
  let count = 0;
  while (count < radii.length && radii[count] <= reach) count++;
  return count;
}

/** Whether the grid shows that all radii reach a place. */
function isSettled(items: Float64Array, o: number, { isOpen }: SampleOptions): boolean {
  return isOpen(items[o], items[o + 1], items[o + 2], items[o + 3], items[o + 4], items[o + 5]);
}

const mostOf = ({ radii }: SampleOptions): number => radii[radii.length - 1];

/** The same numbers for as many vertices: NaN where there were none before. */
function longer(reach: Float64Array, vertices: number): Float64Array<ArrayBuffer> {
  const out = new Float64Array(vertices).fill(NaN);
  out.set(reach.subarray(0, vertices));
  return out;
}

/** How long a facet's edges may be whatever their middles show, mm. */
function pieceLimit(arrays: SurfaceArrays, f: number, known: SidedReach, options: SampleOptions): number {
  const [a, b, c] = [0, 1, 2].map((k) => reachAtCorner(known, arrays, 3 * f + k));
  return apartLimit(Math.min(a, b, c), Math.max(a, b, c), options);
}

/** How far apart vertices may be between which reach radii are these, mm. */
function apartLimit(least: number, most: number, { radii, coarseMm }: SampleOptions): number {
  const count = countOf(least, radii);
  if (count >= radii.length) return coarseMm;
  const share = most < radii[count] ? EVEN_SHARE : FINE_SHARE;
  return Math.min(coarseMm, Math.max(FINEST_MM, share * radii[count]));
}

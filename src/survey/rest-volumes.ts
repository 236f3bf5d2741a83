import { boundsOf } from '../core/bounds.js';
import { tick, type Context } from '../core/context.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { runningSum } from '../core/sum.js';
import { COLUMN_STRIDE, POINT_STRIDE } from '../reach/reach-kernels.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import type { ReachCounts } from '../reach/unreached-area.js';
import { onTrueSurface } from '../part/sagittas.js';

/** What a ball leaves: volume, mm³, and its greatest thickness, mm. */
export interface RestOfBall {
  readonly volumeMm3: number;
  readonly greatestMm: number;
}

export interface RestInput {
  /** the surface on which reach was found, its radii with the allowance */
  readonly reach: ReachCounts;
  readonly engine: ReachAnswers;
  readonly toleranceMm: number;
  readonly stockMm: number;
  /** height of the top of the part */
  readonly topMm: number;
}

/** Columns over what one ball leaves; the volume is within about 2 % by them. */
const COLUMNS = 800;
/**
 * Rest thinner than the tolerance lies beyond what counts as not reached, out to about where a ball this many times
 * √(2 R t) larger fails.
 */
const BEYOND = 4;
/** Vertices asked for the greatest thickness. */
const GAPS = 120;
/** Gaps are told up to so many radii: beyond, a cutter does not fit at all. */
const DEEPEST = 4;

/**
 * Volume and greatest thickness of what each ball leaves.
 *
 * The volume is the mean thickness of upright columns, evenly spread in plan over the facets that the ball does not
 * reach and those beside them, times their area in plan. They stand in the order of a curve that fills the plan, so
 * that even steps along it are even in the plan, too. The greatest thickness is the greatest gap: the distance of a
 * vertex from the nearest place of the ball.
 *
 * @param indices of the radii
 * @returns in the order of the indices
 */
export async function restVolumes(
  input: RestInput,
  indices: readonly number[],
  context: Context,
): Promise<RestOfBall[]> {
  const order = planOrder(input.reach);
  const found: RestOfBall[] = [];
  for (const index of indices) {
    tick(context, 'rest material', found.length / indices.length);
    found.push({
      volumeMm3: await volumeOf(index, order, input, context),
      greatestMm: await greatestOf(index, input, context),
    });
  }
  tick(context, 'rest material', 1);
  return found;
}

/** Machinable facets that face up, along a curve that fills the plan. */
function planOrder({ surface: { mesh }, labels }: ReachCounts): Uint32Array {
  const { positions, triangles } = mesh;
  const faces: number[] = [];
  for (let f = 0; f < labels.length; f++) {
    if (labels[f] < MACHINABLE_CLASSES && planArea(positions, triangles, f) > 0) faces.push(f);
  }
  const { min, max } = boundsOf(positions);
  const scale = (MORTON_SIDE - 1) / Math.max(max[0] - min[0], max[1] - min[1], 1e-9);
  const keys = new Float64Array(labels.length);
  for (const f of faces) {
    const v = 3 * triangles[3 * f];
    keys[f] = spread((positions[v] - min[0]) * scale) + 2 * spread((positions[v + 1] - min[1]) * scale);
  }
  return Uint32Array.from(faces.sort((a, b) => keys[a] - keys[b] || a - b));
}

/** Cells to a side of the plan. */
const MORTON_SIDE = 1 << 15;

/** The bits of a whole number, each followed by a zero. */
function spread(value: number): number {
  let bits = Math.floor(value),
    out = 0;
  for (let place = 1; bits > 0; place *= 4) {
    if (bits & 1) out += place;
    bits >>= 1;
  }
  return out;
}

function planArea(positions: Float64Array, triangles: Uint32Array, f: number): number {
  const a = 3 * triangles[3 * f],
    b = 3 * triangles[3 * f + 1],
    c = 3 * triangles[3 * f + 2];
  const ux = positions[b] - positions[a],
    uy = positions[b + 1] - positions[a + 1];
  return 0.5 * (ux * (positions[c + 1] - positions[a + 1]) - uy * (positions[c] - positions[a]));
}

async function volumeOf(
  index: number,
  order: Uint32Array,
  input: RestInput,
  context: Context,
): Promise<number> {
  const { reach, engine, toleranceMm, stockMm, topMm } = input;
  const {
    surface: { mesh, parent },
    reachRadii,
    part,
    radii,
  } = reach;
  const { positions, triangles } = mesh;
  const radius = radii[index],
    limit = radius + BEYOND * Math.sqrt(2 * radius * toleranceMm);
  // The largest ball's neighbourhood is not told by reach radii: one ring of facets stands for it.
  const isNear = (v: number): boolean => reachRadii[v] < limit;
  const faces = order.filter(
    (f) => isNear(triangles[3 * f]) || isNear(triangles[3 * f + 1]) || isNear(triangles[3 * f + 2]),
  );
  const ends = new Float64Array(faces.length);
  let total = 0;
  for (let i = 0; i < faces.length; i++) ends[i] = total += planArea(positions, triangles, faces[i]);
  if (!(total > 0)) return 0;
  const items = new Float64Array(COLUMN_STRIDE * COLUMNS),
    place = new Float64Array(6);
  for (let i = 0, at = 0; i < COLUMNS; i++) {
    const target = ((i + 0.5) / COLUMNS) * total;
    while (ends[at] < target && at < faces.length - 1) at++;
    const f = faces[at];
    // Points of Roberts' R2 sequence are even in the square, and folded in the triangle.
    let u = (0.5 + R2_FIRST * i) % 1,
      v = (0.5 + R2_SECOND * i) % 1;
    if (u + v > 1) {
      u = 1 - u;
      v = 1 - v;
    }
    const [x, y, z] = [0, 1, 2].map((k) => {
      const [a, b, c] = [0, 1, 2].map((corner) => positions[3 * triangles[3 * f + corner] + k]);
      return a + u * (b - a) + v * (c - a);
    });
    onTrueSurface(part, parent[f], x, y, z, place);
    items.set(place.subarray(0, COLUMN_STRIDE), COLUMN_STRIDE * i);
  }
  const task = { kind: 'thicknesses', items, radius, topMm, stockMm } as const;
  const sum = runningSum();
  for (const thickness of await engine.run(task, context.signal)) sum.add(thickness);
  return (sum.value() / COLUMNS) * total;
}

/** Source: M. Roberts, The unreasonable effectiveness of quasirandom sequences, 2018 (from memory). */
const R2_FIRST = 0.7548776662466927,
  R2_SECOND = 0.5698402909980532;

async function greatestOf(index: number, { reach, engine }: RestInput, context: Context): Promise<number> {
  const {
    surface: { mesh, parent },
    labels,
    counts,
    reachRadii,
    part,
    radii,
  } = reach;
  const { positions, triangles } = mesh;
  const cornerOf = new Map<number, number>();
  for (let h = 0; h < triangles.length; h++) {
    if (labels[(h / 3) | 0] < MACHINABLE_CLASSES && counts[triangles[h]] <= index)
      cornerOf.set(triangles[h], h);
  }
  // The deepest places are corners of the part; its own vertices have the lowest numbers.
  const vertices = [...cornerOf.keys()].sort((a, b) => reachRadii[a] - reachRadii[b] || a - b);
  const own = vertices.filter((v) => 3 * v < part.mesh.positions.length);
  const chosen = new Set([...evenly(own, GAPS / 2), ...evenly(vertices, GAPS / 2)]);
  const items = new Float64Array(POINT_STRIDE * chosen.size),
    place = new Float64Array(6);
  [...chosen].forEach((v, i) => {
    const f = ((cornerOf.get(v) ?? 0) / 3) | 0;
    onTrueSurface(part, parent[f], positions[3 * v], positions[3 * v + 1], positions[3 * v + 2], place);
    items.set(place, POINT_STRIDE * i);
  });
  const radius = radii[index],
    deepMm = DEEPEST * radius;
  const gaps = await engine.run({ kind: 'gaps', items, radius, deepMm }, context.signal);
  return gaps.reduce((most, gap) => Math.max(most, Math.min(gap, deepMm)), 0);
}

/** At most `count` of a list, evenly spread, its first among them. */
function evenly(list: readonly number[], count: number): number[] {
  const step = Math.max(1, list.length / count);
  return Array.from({ length: Math.ceil(list.length / step) }, (_, i) => list[Math.floor(i * step)]);
}

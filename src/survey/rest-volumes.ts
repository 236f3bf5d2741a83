import { tick, type Context } from '../core/context.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { runningSum } from '../core/sum.js';
import type { CutterProfile } from '../cutter/cutter-profile.js';
import { onTrueSurface } from '../part/sagittas.js';
import type { Mesh } from '../part/types.js';
import { byPlace } from '../reach/place-order.js';
import { COLUMN_STRIDE, POINT_STRIDE } from '../reach/reach-kernels.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import type { ReachCounts } from '../reach/unreached-area.js';

/** What a cutter leaves: volume, mm³, and its greatest thickness, mm. */
export interface RestOfCutter {
  readonly volumeMm3: number;
  readonly greatestMm: number;
}

export interface RestInput {
  /** the surface on which reach was found, its radii with the allowance */
  readonly reach: ReachCounts;
  /** of each radius, the allowance included */
  readonly profiles: readonly CutterProfile[];
  readonly engine: ReachAnswers;
  readonly toleranceMm: number;
  /** height of the top of the part */
  readonly topMm: number;
}

/** Columns over what one ball leaves; the volume is within about 1 % by them. */
const COLUMNS = 2000;
/**
 * Rest thinner than the tolerance lies beyond what counts as not reached, out to about where a ball this many times
 * √(2 R t) larger fails.
 */
const BEYOND = 4;
/** Weight of a place where the ball nearly fits, against one where it does not at all. */
const LEAST_WEIGHT = 0.15;
/** Vertices asked for the greatest thickness. */
const GAPS = 40;
/** Gaps are told up to so many radii: beyond, a cutter does not fit at all. */
const DEEPEST = 4;

/**
 * Volume and greatest thickness of what each cutter leaves.
 *
 * The volume is that of upright columns over the facets that the cutter does not reach and those beside them. There are
 * more of them where more is left, as far as reach radii tell; each stands for as much of the plan as its place is
 * rare. They follow a curve that fills the space, so that even steps along it are even in the plan, too. The greatest
 * thickness is the greatest gap: the distance of a vertex from the nearest place of the cutter.
 *
 * @param indices of the radii
 * @returns in the order of the indices
 */
export async function restVolumes(
  input: RestInput,
  indices: readonly number[],
  context: Context,
): Promise<RestOfCutter[]> {
  const {
    labels,
    surface: { mesh },
  } = input.reach;
  // Columns rise from machinable facets that face up.
  const order = facetsByPlace(
    input.reach,
    (f) => labels[f] < MACHINABLE_CLASSES && planArea(mesh.positions, mesh.triangles, f) > 0,
  );
  const found: RestOfCutter[] = [];
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

/** Facets of a surface, near ones mostly after each other. */
export function facetsByPlace(
  { surface: { mesh }, labels }: ReachCounts,
  isWanted: (f: number) => boolean,
): Int32Array {
  const middles = new Float64Array(3 * labels.length);
  for (let i = 0; i < middles.length; i++) {
    const f = (i / 3) | 0;
    for (let h = 3 * f; h < 3 * f + 3; h++) middles[i] += mesh.positions[3 * mesh.triangles[h] + (i % 3)] / 3;
  }
  return byPlace(
    middles,
    Int32Array.from(labels, (_, f) => (isWanted(f) ? 0 : -1)),
  );
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
  order: Int32Array,
  { reach, profiles, engine, toleranceMm, topMm }: RestInput,
  context: Context,
): Promise<number> {
  const {
    surface: { mesh, parent },
    part,
    radii,
  } = reach;
  const { faces, weights, ends } = weighFacets(reach, radii[index], order, toleranceMm);
  const total = ends[ends.length - 1] ?? 0;
  if (!(total > 0)) return 0;
  const items = new Float64Array(COLUMN_STRIDE * COLUMNS),
    share = new Float64Array(COLUMNS),
    place = new Float64Array(6);
  for (let i = 0, at = 0; i < COLUMNS; i++) {
    const target = ((i + 0.5) / COLUMNS) * total;
    while (ends[at] < target && at < faces.length - 1) at++;
    share[i] = total / COLUMNS / weights[at];
    const [x, y, z] = pointIn(mesh, faces[at], i);
    onTrueSurface(part, parent[faces[at]], x, y, z, place);
    items.set(place.subarray(0, COLUMN_STRIDE), COLUMN_STRIDE * i);
  }
  const sum = runningSum();
  const task = { kind: 'thicknesses', items, profile: profiles[index], topMm } as const;
  (await engine.run(task, context.signal)).forEach((thickness, i) => {
    sum.add(thickness * share[i]);
  });
  return sum.value();
}

interface WeighedFacets {
  readonly faces: readonly number[];
  /** of a column on each */
  readonly weights: readonly number[];
  /** sums of weight times area in plan, mm², up to each */
  readonly ends: readonly number[];
}

/** Facets that a ball does not reach and those beside them, weighed by how much it is too large. */
function weighFacets(
  { surface: { mesh }, reachRadii }: ReachCounts,
  radius: number,
  order: Int32Array,
  toleranceMm: number,
): WeighedFacets {
  const { positions, triangles } = mesh;
  const limit = radius + BEYOND * Math.sqrt(2 * radius * toleranceMm);
  const faces: number[] = [],
    weights: number[] = [],
    ends: number[] = [];
  let total = 0;
  for (const f of order) {
    const [a, b, c] = [0, 1, 2].map((k) => reachRadii[triangles[3 * f + k]]);
    // The largest ball's neighbourhood is not told by reach radii: one ring of facets stands for it.
    if (!(a < limit || b < limit || c < limit)) continue;
    const fits = (Math.min(a, radius) + Math.min(b, radius) + Math.min(c, radius)) / (3 * radius);
    const weight = LEAST_WEIGHT + 1 - fits;
    total += weight * planArea(positions, triangles, f);
    faces.push(f);
    weights.push(weight);
    ends.push(total);
  }
  return { faces, weights, ends };
}

/** Point i of Roberts' R2 sequence, which is even in the square, folded into a facet. */
export function pointIn({ positions, triangles }: Mesh, f: number, i: number): number[] {
  let u = (0.5 + R2_FIRST * i) % 1,
    v = (0.5 + R2_SECOND * i) % 1;
  if (u + v > 1) [u, v] = [1 - u, 1 - v];
  return [0, 1, 2].map((k) => {
    const [a, b, c] = [0, 1, 2].map((corner) => positions[3 * triangles[3 * f + corner] + k]);
    return a + u * (b - a) + v * (c - a);
  });
}

/** Source: M. Roberts, The unreasonable effectiveness of quasirandom sequences, 2018 (from memory). */
const R2_FIRST = 0.7548776662466927,
  R2_SECOND = 0.5698402909980532;

async function greatestOf(
  index: number,
  { reach, profiles, engine }: RestInput,
  context: Context,
): Promise<number> {
  const {
    surface: { mesh, parent },
    labels,
    counts,
    reachRadii,
    part,
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
  const profile = profiles[index],
    enoughMm = DEEPEST * profile.radiusMm;
  const gaps = await engine.run({ kind: 'gaps', items, profile, enoughMm }, context.signal);
  return gaps.reduce((most, gap) => Math.max(most, Math.min(gap, enoughMm)), 0);
}

/** At most `count` of a list, evenly spread, its first among them. */
function evenly(list: readonly number[], count: number): number[] {
  const step = Math.max(1, list.length / count);
  return Array.from({ length: Math.ceil(list.length / step) }, (_, i) => list[Math.floor(i * step)]);
}

import { tick, type Context } from '../core/context.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { sideBySide } from '../core/side-by-side.js';
import { growingNumbers } from '../core/growing-numbers.js';
import type { CutterProfile } from '../cutter/cutter-profile.js';
import { onTrueSurface } from '../part/sagittas.js';
import { DEEPEST_RADII } from '../reach/gap-bands.js';
import { COLUMN_STRIDE, POINT_STRIDE } from '../reach/reach-kernels.js';
import type { ReachAnswers, ReachTask } from '../reach/reach-engine.js';
import type { ReachCounts } from '../reach/unreached-area.js';
import type { ColumnGround } from './column-feet.js';
import { facetsInPlan, planArea } from './true-ground.js';
import { columnVolumes } from './column-volumes.js';
import { facetsByPlace } from './facet-samples.js';

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

/**
 * Rest thinner than the tolerance lies beyond what counts as not reached, out to about where a ball this many times
 * √(2 R t) larger fails.
 */
const BEYOND = 4;
/** Vertices asked for the greatest thickness, beside the feet of so many of the highest columns. */
const VERTICES = 400,
  HIGHEST = 64;
/** So many cutters at a time: the threads answer one's questions while those of another are made. */
export const AT_ONCE = 3;

/**
 * Volume and greatest thickness of what each cutter leaves.
 *
 * The volume is that of upright columns over the facets that the cutter does not reach and those beside them. The
 * greatest thickness is the greatest gap: the distance from the nearest place of the cutter.
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
    reach: {
      labels,
      surface,
      surface: { mesh },
      part,
    },
    profiles,
    engine,
    toleranceMm,
    topMm,
  } = input;
  // Columns rise from machinable facets that face up.
  const order = facetsByPlace(mesh, (f) => labels[f] < MACHINABLE_CLASSES && planArea(mesh, f) > 0);
  const inPlan = facetsInPlan({ surface, part }, toleranceMm);
  let done = 0;
  tick(context, 'rest material', 0);
  return sideBySide(indices, AT_ONCE, async (index) => {
    const ground = groundOf(input, index, order, inPlan);
    const { volumesMm3, highest } = await columnVolumes(ground, 1, (feet, foretold) =>
      engine.run(thicknessTask(feet, profiles[index], topMm, foretold), context.signal),
    );
    const greatestMm = await greatestOf(index, highest, input, context);
    tick(context, 'rest material', ++done / indices.length);
    return { volumeMm3: volumesMm3[0], greatestMm };
  });
}

/** Facets that a cutter does not reach and those beside them. */
function groundOf(
  { reach, toleranceMm }: RestInput,
  index: number,
  order: Int32Array,
  inPlan: ColumnGround['inPlan'],
): ColumnGround {
  const { reachRadii, radii, surface, part } = reach,
    { triangles } = surface.mesh;
  const limit = outermostReach(radii[index], toleranceMm);
  // The largest ball's neighbourhood is not told by reach radii: one ring of facets stands for it.
  const isNear = (f: number): boolean => [0, 1, 2].some((k) => reachRadii[triangles[3 * f + k]] < limit);
  return {
    surface,
    part,
    faces: order.filter(isNear),
    inPlan,
    placeOf: () => 0,
    fits: (v) => Math.min(1, reachRadii[v] / radii[index]),
    radiusMm: radii[index],
    toleranceMm,
  };
}

/** Reach radius beyond which a ball leaves nothing worth while, mm. */
const outermostReach = (radiusMm: number, toleranceMm: number): number =>
  radiusMm + BEYOND * Math.sqrt(2 * radiusMm * toleranceMm);

/**
 * Asks how thick what a cutter leaves is over some feet.
 *
 * @param feet (6 N) position on the true surface and unit normal there
 * @param foretold (N) about how thick, mm; NaN: not known
 */
export function thicknessTask(
  feet: Float64Array,
  profile: CutterProfile,
  topMm: number,
  foretold: Float64Array = new Float64Array(feet.length / POINT_STRIDE).fill(NaN),
): ReachTask {
  const items = new Float64Array(COLUMN_STRIDE * foretold.length);
  foretold.forEach((thickness, i) => {
    items.set(feet.subarray(POINT_STRIDE * i, POINT_STRIDE * (i + 1)), COLUMN_STRIDE * i);
    items[COLUMN_STRIDE * i + POINT_STRIDE] = thickness;
  });
  return { kind: 'thicknesses', items, profile, topMm };
}

/** @param highest places over which most is left, most first */
async function greatestOf(
  index: number,
  highest: readonly Float64Array[],
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
    const v = triangles[h];
    if (counts[v] <= index && labels[(h / 3) | 0] < MACHINABLE_CLASSES) cornerOf.set(v, h);
  }
  const vertices = [...cornerOf.keys()].sort((a, b) => reachRadii[a] - reachRadii[b] || a - b);
  const items = growingNumbers(),
    place = new Float64Array(POINT_STRIDE);
  // The deepest places are corners of the part: its own vertices have the lowest numbers.
  const own = vertices.filter((v) => 3 * v < part.mesh.positions.length);
  for (const v of new Set([...evenly(own, VERTICES / 2), ...evenly(vertices, VERTICES / 2)])) {
    const f = ((cornerOf.get(v) ?? 0) / 3) | 0;
    onTrueSurface(part, parent[f], positions[3 * v], positions[3 * v + 1], positions[3 * v + 2], place);
    for (const value of place) items.push(value);
  }
  for (const foot of highest.slice(0, HIGHEST)) for (const value of foot) items.push(value);
  const profile = profiles[index],
    enoughMm = DEEPEST_RADII * profile.radiusMm;
  const task = { kind: 'greatest-gaps', items: items.toArray(), profile, enoughMm } as const;
  const gaps = await engine.run(task, context.signal);
  return gaps.reduce((most, gap) => Math.max(most, Math.min(gap, enoughMm)), 0);
}

/** At most `count` of a list, evenly spread, its first among them. */
function evenly(list: readonly number[], count: number): number[] {
  const step = Math.max(1, list.length / count);
  return Array.from({ length: Math.ceil(list.length / step) }, (_, i) => list[Math.floor(i * step)]);
}

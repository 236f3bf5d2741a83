import { tick, type Context } from '../core/context.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { growingNumbers } from '../core/growing-numbers.js';
import { compensatedSum } from '../core/sum.js';
import type { CutterProfile } from '../cutter/cutter-profile.js';
import { onTrueSurface } from '../part/sagittas.js';
import { COLUMN_STRIDE, POINT_STRIDE } from '../reach/reach-kernels.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import type { ReachCounts } from '../reach/unreached-area.js';
import { evenlyBySize, facetsByPlace, pointOn } from './facet-samples.js';

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

/** Places that are alike are taken together: so many strata. */
const STRATA = 64;
/** Columns in each of them at first; then more where they differ, up to so many in all. */
const FIRST = 8,
  MOST_COLUMNS = 2500;
/** Standard error of a volume, as a share of it, at which no more are asked. */
const ENOUGH = 0.008;
/** Reach radii are told apart in so many steps where strata are made. */
const STEPS = 16;
/**
 * Rest thinner than the tolerance lies beyond what counts as not reached, out to about where a ball this many times
 * √(2 R t) larger fails.
 */
const BEYOND = 4;
/** Weight of a place where the ball nearly fits, against one where it does not at all. */
const LEAST_WEIGHT = 0.15;
/** Vertices asked for the greatest thickness, beside the foot of the thickest column of each stratum. */
const VERTICES = 400;
/** Gaps are told up to so many radii: beyond, a cutter does not fit at all. */
export const DEEPEST = 4;

/**
 * Volume and greatest thickness of what each cutter leaves.
 *
 * The volume is that of upright columns over the facets that the cutter does not reach and those beside them, in
 * strata of like reach radius, in each along a curve that fills the space. A few columns in every stratum tell how
 * much they differ there, and where more are worth while (stratified sampling with Neyman's allocation: W. G. Cochran,
 * Sampling Techniques, chapter 5, from memory). The greatest thickness is the greatest gap: the distance from the
 * nearest place of the cutter.
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
    mesh,
    (f) => labels[f] < MACHINABLE_CLASSES && planArea(mesh.positions, mesh.triangles, f) > 0,
  );
  const found: RestOfCutter[] = [];
  for (const index of indices) {
    tick(context, 'rest material', found.length / indices.length);
    const { volumeMm3, thickest } = await volumeOf(index, order, input, context);
    found.push({ volumeMm3, greatestMm: await greatestOf(index, thickest, input, context) });
  }
  tick(context, 'rest material', 1);
  return found;
}

function planArea(positions: Float64Array, triangles: Uint32Array, f: number): number {
  const a = 3 * triangles[3 * f],
    b = 3 * triangles[3 * f + 1],
    c = 3 * triangles[3 * f + 2];
  const ux = positions[b] - positions[a],
    uy = positions[b + 1] - positions[a + 1];
  return 0.5 * (ux * (positions[c + 1] - positions[a + 1]) - uy * (positions[c] - positions[a]));
}

interface Column {
  /** (6) its foot on the true surface, and the unit normal there */
  readonly place: Float64Array;
  readonly thicknessMm: number;
}

/** Facets beside each other in the list of a radius, from first to end. */
interface Stratum {
  readonly first: number;
  readonly end: number;
  readonly areaMm2: number;
  readonly found: number[];
  thickest?: Column;
}

async function volumeOf(
  index: number,
  order: Int32Array,
  input: RestInput,
  context: Context,
): Promise<{ readonly volumeMm3: number; readonly thickest: readonly Float64Array[] }> {
  const { reach, profiles, engine, toleranceMm, topMm } = input;
  const { faces, areas, weights } = weighFacets(reach, reach.radii[index], order, toleranceMm);
  const strata = cutStrata(areas, weights);
  let asked = 0;
  const ask = async (counts: readonly number[]): Promise<void> => {
    const items = growingNumbers(),
      places: Float64Array[] = [];
    strata.forEach((stratum, s) => {
      for (const k of evenlyBySize(areas, stratum.areaMm2, counts[s], stratum.first, stratum.end)) {
        const place = pointOn(reach, faces[k], asked++).slice();
        for (const value of place.subarray(0, COLUMN_STRIDE)) items.push(value);
        places.push(place);
      }
    });
    const task = { kind: 'thicknesses', items: items.toArray(), profile: profiles[index], topMm } as const;
    const answers = await engine.run(task, context.signal);
    let next = 0;
    strata.forEach((stratum, s) => {
      for (let i = 0; i < counts[s]; i++, next++) {
        const thicknessMm = answers[next];
        stratum.found.push(thicknessMm);
        if (thicknessMm > (stratum.thickest?.thicknessMm ?? 0))
          stratum.thickest = { place: places[next], thicknessMm };
      }
    });
  };
  await ask(strata.map(() => FIRST));
  const spreads = strata.map(({ areaMm2, found }) => areaMm2 * spread(found));
  const total = spreads.reduce((sum, one) => sum + one, 0),
    wanted = (total / (ENOUGH * volumeIn(strata))) ** 2;
  const error = Math.sqrt(spreads.reduce((sum, one) => sum + one * one, 0) / FIRST);
  if (error > ENOUGH * volumeIn(strata)) {
    const more = Math.min(MOST_COLUMNS, wanted);
    await ask(spreads.map((one) => Math.round((more * one) / total)));
  }
  return { volumeMm3: volumeIn(strata), thickest: strata.flatMap(({ thickest }) => thickest?.place ?? []) };
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, one) => sum + one, 0) / Math.max(1, values.length);
/** Standard deviation. */
const spread = (values: readonly number[]): number => {
  const middle = mean(values);
  return Math.sqrt(mean(values.map((one) => (one - middle) ** 2)));
};
const volumeIn = (strata: readonly Stratum[]): number =>
  compensatedSum(strata.map(({ areaMm2, found }) => areaMm2 * mean(found)));

/** Runs of facets of about the same weight each. */
function cutStrata(areas: readonly number[], weights: readonly number[]): Stratum[] {
  const total = areas.reduce((sum, area, k) => sum + area * weights[k], 0);
  const strata: Stratum[] = [];
  let first = 0,
    area = 0,
    sum = 0;
  areas.forEach((own, k) => {
    area += own;
    sum += own * weights[k];
    if (sum < ((strata.length + 1) * total) / STRATA && k < areas.length - 1) return;
    strata.push({ first, end: k + 1, areaMm2: area, found: [] });
    first = k + 1;
    area = 0;
  });
  return strata;
}

interface WeighedFacets {
  readonly faces: readonly number[];
  /** in plan, mm² */
  readonly areas: readonly number[];
  /** of a column on each */
  readonly weights: readonly number[];
}

/**
 * Facets that a cutter does not reach and those beside them, by steps of reach radius, weighed by how much it is too
 * large.
 */
function weighFacets(
  { surface: { mesh }, reachRadii }: ReachCounts,
  radius: number,
  order: Int32Array,
  toleranceMm: number,
): WeighedFacets {
  const { positions, triangles } = mesh;
  const limit = radius + BEYOND * Math.sqrt(2 * radius * toleranceMm);
  const byStep: number[][] = Array.from({ length: STEPS + 1 }, () => []);
  const fits = (f: number): number => {
    let sum = 0;
    for (let h = 3 * f; h < 3 * f + 3; h++) sum += Math.min(reachRadii[triangles[h]], radius);
    return sum / (3 * radius);
  };
  for (const f of order) {
    // The largest ball's neighbourhood is not told by reach radii: one ring of facets stands for it.
    if (![0, 1, 2].some((k) => reachRadii[triangles[3 * f + k]] < limit)) continue;
    byStep[Math.floor(STEPS * fits(f))].push(f);
  }
  const faces = byStep.flat();
  return {
    faces,
    areas: faces.map((f) => planArea(positions, triangles, f)),
    weights: faces.map((f) => LEAST_WEIGHT + 1 - fits(f)),
  };
}

/** @param thickest places over which most is left */
async function greatestOf(
  index: number,
  thickest: readonly Float64Array[],
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
  for (const foot of thickest) for (const value of foot) items.push(value);
  const profile = profiles[index],
    enoughMm = DEEPEST * profile.radiusMm;
  const task = { kind: 'greatest-gaps', items: items.toArray(), profile, enoughMm } as const;
  const gaps = await engine.run(task, context.signal);
  return gaps.reduce((most, gap) => Math.max(most, Math.min(gap, enoughMm)), 0);
}

/** At most `count` of a list, evenly spread, its first among them. */
function evenly(list: readonly number[], count: number): number[] {
  const step = Math.max(1, list.length / count);
  return Array.from({ length: Math.ceil(list.length / step) }, (_, i) => list[Math.floor(i * step)]);
}

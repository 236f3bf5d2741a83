import { boundsOf } from '../core/bounds.js';
import { mapTo } from '../core/map-to.js';
import { rowsOf } from '../core/rows-of.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { compensatedSum } from '../core/sum.js';
import { enlargedProfile, reachesAllOf } from '../cutter/nested-reach.js';
import { DEEPEST_RADII } from '../reach/gap-bands.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { doubleArea, placeOf } from '../part/facet-geometry.js';
import { facetsInPlan, planArea } from './true-ground.js';
import { columnVolumes } from './column-volumes.js';
import { evenlyBySize, evenShares, facetsByPlace, pointAt } from './facet-samples.js';
import { POINT_STRIDE } from '../reach/reach-kernels.js';
import type { BorderTold } from '../reach/reach-middles.js';
import { reachProbe } from '../reach/reach-probe.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { Mesh, Surface } from '../part/types.js';
import { classOfLabel } from '../zones/mark-away.js';
import { offsetProfile, type CutterProfile } from '../cutter/cutter-profile.js';
import { connectedPatches, type Patch } from '../surface/connected-patches.js';
import {
  cutByReach,
  unreachedOf,
  wholeSurface,
  type CutPart,
  type SurfacePart,
} from '../reach/cut-by-reach.js';
import { BORDER_ACCURACY_MM } from './analyse-reach.js';
import { thicknessTask } from './rest-volumes.js';

/** A cutter of a ladder and what a survey found for it. */
export interface LadderCutter {
  readonly profile: CutterProfile;
  /** (V) more than `index`: reached */
  readonly counts: Uint8Array;
  readonly index: number;
}

/**
 * One place that a later cutter must clean: what hangs together of what those before it leave, less what it leaves
 * itself.
 */
export interface RestPatch extends Patch {
  /** taken away there by this cutter */
  readonly volumeMm3: number;
  /** what the cutters before leave there at most, mm; null: not computed */
  readonly greatestMm: number | null;
}

/**
 * What a cutter of a ladder must clean after those before it: it reaches that, and none of them taken larger
 * does.
 */
export interface RestWork {
  readonly surface: Surface;
  /** (F) index in `patches`, -1: in none */
  readonly patchOf: Int32Array;
  /** largest first */
  readonly patches: readonly RestPatch[];
  readonly areaMm2: number;
  /** taken away by this cutter, what the blend covers not counted */
  readonly volumeMm3: number;
  readonly greatestMm: number | null;
}

export interface RestWorkInput {
  readonly surface: Surface;
  readonly labels: Uint8Array;
  /** (V) mm, allowance included, as surveyed with these radii */
  readonly reachRadii: Float64Array;
  /** where borders lie that need not be asked */
  readonly toldBorder: BorderTold;
  readonly radii: Float64Array;
  readonly part: SmoothPart;
  readonly engine: ReachAnswers;
  readonly stockMm: number;
  /** how much larger the cutters before are taken, share of their radius */
  readonly blendShare: number;
  readonly toleranceMm: number;
  /** (V) 1: too deep for the cutter that gets in there; absent: nowhere */
  readonly isDeep?: Uint8Array;
}

/** Points asked for the greatest thickness, over all patches, and of each patch at least. */
const MOST_POINTS = 1500;
const LEAST_POINTS = 6;

/**
 * What a cutter must clean after the cutters before it. Patches in which those leave nothing, and only their
 * enlargement would, are none: there is nothing to clean.
 *
 * Where each of the cutters before reaches all that its own predecessor does, only the last matters; otherwise the
 * surface is cut along the border of every one. Thickness is computed only where one ball alone matters. Volume is that
 * of upright columns: of each what all cutters before leave, less what this one leaves.
 */
export async function restWork(
  before: readonly LadderCutter[],
  own: LadderCutter,
  input: RestWorkInput,
  context: Context,
): Promise<RestWork> {
  const { surface, labels, part: smooth, engine, stockMm, blendShare } = input;
  const last = before[before.length - 1];
  const chain = [...before, own];
  const isNested = chain.every(({ profile }, i) => i === 0 || reachesAllOf(profile, chain[i - 1].profile));
  const matter = isNested ? [last] : before;
  const options = { smooth, toldBorder: input.toldBorder, accuracyMm: BORDER_ACCURACY_MM };
  let left = wholeSurface(surface, labels);
  for (const cutter of matter) {
    const larger = offsetProfile(enlargedProfile(cutter.profile, blendShare), stockMm);
    const aside = { ...options, isWhole: false, around: true };
    const what = { ...aside, known: stillUnreached(cutter), reachRadii: knownRadii(input, larger) };
    left = unreachedOf(await cutByReach(left, reachProbe(engine, larger), what, context));
  }
  const grown = offsetProfile(own.profile, stockMm);
  const known = mapTo(new Int8Array(own.counts.length), own.counts, (count) => (count > own.index ? 1 : 0));
  const whole = { ...options, known, reachRadii: knownRadii(input, grown), isWhole: true, around: false };
  const part = await cutByReach(left, reachProbe(engine, grown), whole, context);
  const member = mapTo(new Int32Array(part.labels.length), part.labels, (label) =>
    label < MACHINABLE_CLASSES ? 0 : -1,
  );
  const found = withoutDeep(part, member, last, input.isDeep);
  const isThicknessKnown = isNested && last.profile.kind === 'ball';
  const greatest = isThicknessKnown ? await greatestGaps(part, found.facesOf, last, input, context) : null;
  const volumesMm3 = await takenAway(
    { part, bordersFrom: left.origin.length, ...found },
    matter,
    own,
    input,
    context,
  );
  return {
    surface: part.surface,
    patchOf: found.patchOf,
    patches: found.patches.map((patch, i) => ({
      ...patch,
      volumeMm3: volumesMm3[i],
      greatestMm: greatest?.[i] ?? null,
    })),
    areaMm2: compensatedSum(found.patches.map(({ areaMm2 }) => areaMm2)),
    volumeMm3: compensatedSum(volumesMm3),
    greatestMm: greatest?.reduce((most, mm) => Math.max(most, mm), 0) ?? null,
  };
}

/** The patches to clean; one of which all that the cutter before does not reach is too deep is none. */
function withoutDeep(
  { surface, unreached, origin }: CutPart,
  member: Int32Array,
  last: LadderCutter,
  isDeep: Uint8Array = new Uint8Array(last.counts.length),
): ReturnType<typeof connectedPatches> {
  const found = connectedPatches(surface, member, (f) => unreached[f] < 0);
  const [deep, other] = [0, 1].map(() => new Uint8Array(found.patches.length));
  surface.mesh.triangles.forEach((v, h) => {
    const patch = found.patchOf[(h / 3) | 0];
    const asked = origin[v];
    if (patch < 0 || asked < 0 || last.counts[asked] > last.index) return;
    (isDeep[asked] ? deep : other)[patch] = 1;
  });
  if (!deep.some((is, patch) => is && !other[patch])) return found;
  const isLeft = (f: number): boolean =>
    found.joinedBy[f] < 0 || !deep[found.joinedBy[f]] || !!other[found.joinedBy[f]];
  return connectedPatches(surface, member, (f) => unreached[f] < 0 && isLeft(f));
}

interface RestPlaces {
  readonly part: SurfacePart;
  /** vertices from here on lie on the border of the cutter's own reach */
  readonly bordersFrom: number;
  readonly patches: readonly Patch[];
  /** (F) */
  readonly joinedBy: Int32Array;
}

/** Volume that a cutter takes away of what those before it leave, mm³, of each patch with what lies beside it. */
async function takenAway(
  { part, bordersFrom, patches, joinedBy }: RestPlaces,
  before: readonly LadderCutter[],
  own: LadderCutter,
  { reachRadii, part: smooth, engine, stockMm, toleranceMm }: RestWorkInput,
  { signal }: Context,
): Promise<readonly number[]> {
  const { surface, labels, origin } = part,
    { mesh } = surface;
  const patchAt = withNeighbours(mesh, joinedBy);
  const faces = facetsByPlace(
    mesh,
    (f) => patchAt[f] >= 0 && classOfLabel(labels[f]) < MACHINABLE_CLASSES && planArea(mesh, f) > 0,
  );
  const topMm = boundsOf(smooth.mesh.positions).max[2];
  const leaves = async (cutter: LadderCutter, feet: Float64Array): Promise<ArrayLike<number>> =>
    engine.run(thicknessTask(feet, offsetProfile(cutter.profile, stockMm), topMm), signal);
  const last = before[before.length - 1];
  const ground = {
    surface,
    part: smooth,
    faces,
    inPlan: facetsInPlan({ surface, part: smooth }, toleranceMm),
    placeOf: (f: number) => patchAt[f],
    fits: (v: number) => {
      if (origin[v] >= 0) return fitAt(last, reachRadii, stockMm, origin[v]);
      return v < bordersFrom ? 1 : Math.min(1, own.profile.radiusMm / last.profile.radiusMm);
    },
    radiusMm: last.profile.radiusMm,
    toleranceMm,
  };
  // What is foretold is what the cutter takes away, not what any of them leaves.
  const { volumesMm3 } = await columnVolumes(ground, patches.length, async (feet) => {
    const found = await Promise.all(before.map((cutter) => leaves(cutter, feet)));
    const height = Float64Array.from({ length: feet.length / POINT_STRIDE }, (_, i) =>
      Math.min(...found.map((one) => one[i])),
    );
    const open = [...height.keys()].filter((i) => height[i] > 0);
    const after = await leaves(own, rowsOf(feet, open, POINT_STRIDE));
    open.forEach((i, k) => {
      height[i] = Math.max(0, height[i] - after[k]);
    });
    return height;
  });
  return volumesMm3;
}

/** How much of a cutter fits at a vertex of the surveyed surface, 0 .. 1. */
function fitAt(
  { profile, counts, index }: LadderCutter,
  reachRadii: Float64Array,
  stockMm: number,
  v: number,
): number {
  return counts[v] > index ? 1 : Math.min(1, reachRadii[v] / (profile.radiusMm + stockMm));
}

/** (F) Patch of each facet or, of one in none, of a facet that shares a vertex with it; -1: in none. */
function withNeighbours({ positions, triangles }: Mesh, patchOf: Int32Array): Int32Array {
  const atVertex = new Int32Array(positions.length / 3).fill(-1);
  triangles.forEach((v, h) => {
    atVertex[v] = Math.max(atVertex[v], patchOf[(h / 3) | 0]);
  });
  return patchOf.map((patch, f) =>
    patch >= 0 ? patch : Math.max(...[0, 1, 2].map((k) => atVertex[triangles[3 * f + k]])),
  );
}

/** What a cutter does not reach, the same cutter taken larger does not either; the rest must be asked. */
const stillUnreached = ({ counts, index }: LadderCutter): Int8Array =>
  mapTo(new Int8Array(counts.length), counts, (count) => (count > index ? -1 : 0));

/**
 * (V) What the survey of balls says of a cutter's reach; NaN where nothing: of no other shape, or too small a
 * radius.
 */
function knownRadii({ reachRadii, radii }: RestWorkInput, { kind, radiusMm }: CutterProfile): Float64Array {
  if (kind !== 'ball') return new Float64Array(reachRadii.length).fill(NaN);
  const isSurveyed = radiusMm <= radii[radii.length - 1];
  return reachRadii.map((radius) => (radius === Infinity && !isSurveyed ? NaN : radius));
}

/**
 * Greatest gap of a ball over each patch, mm, at a sample of its vertices, those on its borders among them, and at
 * places spread over it: a long facet in a fillet's middle has all its vertices elsewhere.
 */
async function greatestGaps(
  part: SurfacePart,
  facesOf: readonly (readonly number[])[],
  cutter: LadderCutter,
  input: RestWorkInput,
  { signal }: Context,
): Promise<number[]> {
  const most = Math.max(LEAST_POINTS, Math.floor(MOST_POINTS / Math.max(1, facesOf.length)));
  const profile = offsetProfile(cutter.profile, input.stockMm),
    enoughMm = DEEPEST_RADII * profile.radiusMm;
  const greatestOf = async (faces: readonly number[]): Promise<number> => {
    const places = [
      ...vertexPlaces(part, faces, cutter, input, most),
      ...spreadPlaces(part, faces, input, most),
    ];
    const items = Float64Array.from(places.flatMap((place) => [...place]));
    const gaps = await input.engine.run({ kind: 'greatest-gaps', items, profile, enoughMm }, signal);
    return gaps.reduce((greatest, gap) => Math.max(greatest, Math.min(gap, enoughMm)), 0);
  };
  return Promise.all(facesOf.map(greatestOf));
}

/** At most so many of a patch's vertices, half of them put in at its borders, half those that reach least. */
function* vertexPlaces(
  { surface: { mesh, parent }, origin }: SurfacePart,
  faces: readonly number[],
  { counts }: LadderCutter,
  { part }: RestWorkInput,
  most: number,
): Generator<Float64Array> {
  const { positions, triangles } = mesh;
  const cornerOf = new Map<number, number>();
  for (const f of faces) for (let h = 3 * f; h < 3 * f + 3; h++) cornerOf.set(triangles[h], h);
  const rankOf = (v: number): number => (origin[v] < 0 ? -1 : counts[origin[v]]);
  const vertices = [...cornerOf.keys()];
  const least = vertices.reduce((low, v) => (rankOf(v) < 0 ? low : Math.min(low, rankOf(v))), Infinity);
  for (const rank of [-1, least]) {
    const some = vertices.filter((v) => rankOf(v) === rank);
    const step = Math.max(1, Math.ceil((2 * some.length) / most));
    for (let j = 0; j < some.length; j += step) {
      const f = ((cornerOf.get(some[j]) ?? 0) / 3) | 0,
        [x, y, z] = placeOf(positions, some[j]);
      const place = new Float64Array(POINT_STRIDE);
      onTrueSurface(part, parent[f], x, y, z, place);
      yield place;
    }
  }
}

/** So many places over a patch, evenly by area. */
function* spreadPlaces(
  { surface }: SurfacePart,
  faces: readonly number[],
  { part }: RestWorkInput,
  count: number,
): Generator<Float64Array> {
  const areas = faces.map((f) => doubleArea(surface.mesh, f, cross));
  let i = 0;
  for (const k of evenlyBySize(areas, count))
    yield pointAt({ surface, part }, faces[k], evenShares(i++)).slice();
}

const cross = new Float64Array(3);

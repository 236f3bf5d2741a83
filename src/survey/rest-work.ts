import { mapTo } from '../core/map-to.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { tick, type Context } from '../core/context.js';
import { compensatedSum } from '../core/sum.js';
import { enlargedProfile, reachesAllOf } from '../cutter/nested-reach.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { doubleArea, placeOf } from '../part/facet-geometry.js';
import { evenlyBySize, pointOn } from './facet-samples.js';
import { POINT_STRIDE } from '../reach/reach-kernels.js';
import type { BorderTold } from '../reach/reach-middles.js';
import { reachProbe } from '../reach/reach-probe.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { Surface } from '../part/types.js';
import { offsetProfile, type CutterProfile } from '../cutter/cutter-profile.js';
import { connectedPatches, type Patch } from '../surface/connected-patches.js';
import { keepByReach, wholeSurface, type SurfacePart } from '../reach/keep-by-reach.js';
import { BORDER_ACCURACY_MM } from './analyse-reach.js';
import { DEEPEST } from './rest-volumes.js';

/** A cutter of a ladder and what a survey found for it. */
export interface LadderCutter {
  readonly profile: CutterProfile;
  /** (V) more than `index`: reached */
  readonly counts: Uint8Array;
  readonly index: number;
  readonly restVolumeMm3: number;
}

/** One place that a later cutter must clean. */
export interface RestPatch extends Patch {
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
  /** taken away by this cutter, what the blend covers not counted; null: not computed */
  readonly volumeMm3: number | null;
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
}

/** Points asked for the greatest thickness, over all patches, and of each patch at least. */
const MOST_POINTS = 600;
const LEAST_POINTS = 6;

/**
 * What a cutter must clean after the cutters before it. Patches in which those leave nothing, and only their
 * enlargement would, are none: there is nothing to clean.
 *
 * Where each of the cutters before reaches all that its own predecessor does, only the last matters;
 * otherwise the surface is cut along the border of every one. Volume and thickness are computed only where
 * this cutter reaches all that the last one does: the clearings of other pairs are not nested, and their rest
 * volumes must not be subtracted.
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
  const options = { smooth, toldBorder: input.toldBorder, accuracyMm: BORDER_ACCURACY_MM };
  let part = wholeSurface(surface, labels);
  for (const cutter of isNested ? [last] : before) {
    const larger = offsetProfile(enlargedProfile(cutter.profile, blendShare), stockMm);
    part = await keepByReach(
      part,
      reachProbe(engine, larger),
      {
        ...options,
        keep: 'unreached',
        known: stillUnreached(cutter),
        reachRadii: knownRadii(input, larger),
        around: true,
      },
      context,
    );
  }
  const grown = offsetProfile(own.profile, stockMm),
    probe = reachProbe(engine, grown);
  const known = mapTo(new Int8Array(own.counts.length), own.counts, (count) => (count > own.index ? 1 : 0));
  part = await keepByReach(
    part,
    probe,
    { ...options, keep: 'reached', known, reachRadii: knownRadii(input, grown), around: false },
    context,
  );
  const member = mapTo(new Int32Array(part.labels.length), part.labels, (label) =>
    label < MACHINABLE_CLASSES ? 0 : -1,
  );
  const { patches, facesOf, patchOf } = connectedPatches(part.surface, member);
  const greatest =
    isNested && last.profile.kind === 'ball' ? await greatestGaps(part, facesOf, last, input, context) : null;
  return {
    surface: part.surface,
    patchOf,
    patches: patches.map((patch, i) => ({ ...patch, greatestMm: greatest?.[i] ?? null })),
    areaMm2: compensatedSum(patches.map(({ areaMm2 }) => areaMm2)),
    volumeMm3: isNested ? Math.max(0, last.restVolumeMm3 - own.restVolumeMm3) : null,
    greatestMm: greatest?.reduce((most, mm) => Math.max(most, mm), 0) ?? null,
  };
}

/** Of every cutter of a ladder, in order of use; null for the first. */
export async function restWorks(
  ladder: readonly LadderCutter[],
  input: RestWorkInput,
  context: Context,
): Promise<(RestWork | null)[]> {
  const works: (RestWork | null)[] = [];
  for (const [i, cutter] of ladder.entries()) {
    tick(context, 'rest between cutters', i / ladder.length);
    works.push(i === 0 ? null : await restWork(ladder.slice(0, i), cutter, input, context));
  }
  tick(context, 'rest between cutters', 1);
  return works;
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
    enoughMm = DEEPEST * profile.radiusMm;
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
  for (const k of evenlyBySize(areas, compensatedSum(areas), count))
    yield pointOn({ surface, part }, faces[k], i++).slice();
}

const cross = new Float64Array(3);

import { mapTo } from '../core/map-to.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { tick, type Context } from '../core/context.js';
import { compensatedSum } from '../core/sum.js';
import { enlargedProfile, reachesAllOf } from '../cutter/nested-reach.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
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
 * Greatest gap of a ball over each patch, mm, at a sample of its vertices, those on its borders among them.
 */
async function greatestGaps(
  {
    surface: {
      mesh: { positions, triangles },
      parent,
    },
    origin,
  }: SurfacePart,
  facesOf: readonly (readonly number[])[],
  { profile, counts }: LadderCutter,
  { part, engine, stockMm }: RestWorkInput,
  { signal }: Context,
): Promise<number[]> {
  const most = Math.max(LEAST_POINTS, Math.floor(MOST_POINTS / Math.max(1, facesOf.length)));
  const items: number[] = [],
    owner: number[] = [];
  const place = new Float64Array(6);
  facesOf.forEach((faces, i) => {
    const cornerOf = new Map<number, number>();
    for (const f of faces) for (let h = 3 * f; h < 3 * f + 3; h++) cornerOf.set(triangles[h], h);
    const rankOf = (v: number): number => (origin[v] < 0 ? -1 : counts[origin[v]]);
    const vertices = [...cornerOf.keys()];
    const least = vertices.reduce((low, v) => (rankOf(v) < 0 ? low : Math.min(low, rankOf(v))), Infinity);
    for (const rank of [-1, least]) {
      const some = vertices.filter((v) => rankOf(v) === rank);
      const step = Math.max(1, Math.ceil((2 * some.length) / most));
      for (let j = 0; j < some.length; j += step) {
        const v = some[j],
          h = cornerOf.get(v) ?? 0;
        onTrueSurface(
          part,
          parent[(h / 3) | 0],
          positions[3 * v],
          positions[3 * v + 1],
          positions[3 * v + 2],
          place,
        );
        items.push(...place);
        owner.push(i);
      }
    }
  });
  const greatest = facesOf.map(() => 0);
  if (items.length !== POINT_STRIDE * owner.length) throw new RangeError('greatestGaps: out of step');
  if (owner.length === 0) return greatest;
  const grown = offsetProfile(profile, stockMm);
  const enoughMm = DEEPEST * grown.radiusMm;
  const task = { kind: 'gaps', items: Float64Array.from(items), profile: grown, enoughMm } as const;
  const gaps = await engine.run(task, signal);
  owner.forEach((i, j) => {
    greatest[i] = Math.max(greatest[i], Math.min(gaps[j], enoughMm));
  });
  return greatest;
}

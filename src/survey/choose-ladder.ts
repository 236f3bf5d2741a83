import { mapTo } from '../core/map-to.js';
import { digits } from '../core/figures.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { compensatedSum } from '../core/sum.js';
import { cutterShape, type Cutter } from '../cutter/catalogue.js';
import { offsetProfile } from '../cutter/cutter-profile.js';
import { cutByReach, unreachedOf, wholeSurface } from '../reach/cut-by-reach.js';
import { NOTHING_TOLD } from '../reach/reach-middles.js';
import { reachProbe } from '../reach/reach-probe.js';
import type { Stickout } from '../reach/stickout.js';
import { patchesOf, tightPatches, type TightPatches } from '../reach/tight-patches.js';
import { FIRST_SHARE } from '../options.js';
import { subSurface } from '../surface/sub-surface.js';
import { touchingFaces } from '../surface/touching-faces.js';
import { chooseSteps, type LeftOut, type Step } from '../time/ladder.js';
import { BORDER_ACCURACY_MM } from './analyse-reach.js';
import {
  areNested,
  ladderCandidates,
  reachesVertex,
  type Candidate,
  type CandidatesInput,
} from './ladder-candidates.js';
import type { StickoutProbe } from './ladder-stickout.js';
import type { LadderTimes } from './ladder-times.js';
import { restWorks, type RestWork } from './rest-work.js';
import { withinLength, type DeepPlace } from './too-deep.js';

/** One cutter of the ladder and what it leaves. */
export interface Rung
  extends Pick<Step, 'finishedAreaMm2' | 'leftAreaMm2' | 'left' | 'minutes' | 'savesMinutes'> {
  readonly cutter: Cutter;
  /** whether it reaches a vertex of the surface on which reach was computed */
  readonly reaches: (v: number) => boolean;
  /** at all places that it finishes */
  readonly stickout: Stickout;
  /** what it must clean after those before it; null: it is the first */
  readonly rest: RestWork | null;
}

/** Why a cutter of the catalogue is not in the ladder. */
export interface LeftOutCutter extends Pick<LeftOut, 'detail' | 'extraMinutes'> {
  readonly cutterId: string;
  readonly reason: LeftOut['reason'] | 'no-ball' | 'same-radius';
}

export interface Ladder {
  /** large to small, at least one */
  readonly rungs: readonly Rung[];
  readonly leftOut: readonly LeftOutCutter[];
  readonly finisher: Cutter;
  /** (F) share of each facet of the surface on which reach was computed that it leaves */
  readonly finisherLeft: Float64Array;
  /** what the first cutter does not reach */
  readonly tight: TightPatches;
  /** what no cutter of the catalogue reaches */
  readonly leftover: TightPatches;
  /** the last that a place can be left to: the smallest */
  readonly last: Cutter;
  /** what cutters of the catalogue get into, but would have to stick out too far for their diameter */
  readonly tooDeep: readonly DeepPlace[];
  /** cutter of the ladder that finishes a tight place; null: none reaches all of it */
  readonly cutterFor: (patch: number) => Cutter | null;
  /** each cutter of the catalogue surely reaches all that larger ones reach */
  readonly isNested: boolean;
}

export interface LadderInput extends CandidatesInput {
  readonly times: LadderTimes;
  readonly probe: StickoutProbe;
}

/**
 * A cutter that finishes less than this share of the machinable area more than the last is not worth a
 * change.
 */
const LEAST_GAIN = 1e-4;

/**
 * Chooses the finishing cutters by the rule of the set-up, with a reason for every other cutter of the
 * catalogue, and cuts out what the first of them, and all of them, leave. Where reach is not nested no order
 * by minutes is searched: the largest runs first.
 *
 * @throws {RangeError} for an empty catalogue
 */
export async function chooseLadder(input: LadderInput, context: Context): Promise<Ladder> {
  const { reach, setup, part, engine, probe } = input;
  const whole = await ladderCandidates(input, context);
  const {
    candidates,
    places: tooDeep,
    isDeep,
  } = withinLength(whole, {
    reach,
    probe,
    mostLengthToDiameter: setup.mostLengthToDiameter,
  });
  const isNested = areNested(candidates);
  const { steps, leftOut } = stepsOf(candidates, isNested, input);
  const chosen = steps.map(({ at }) => candidates[at]);
  const fitting = steps.map(({ at }) => whole[at]);
  const { stockMm, blendShare, toleranceMm } = setup;
  const rest = await restWorks(
    fitting,
    { ...reach, part, engine, stockMm, blendShare, toleranceMm, isDeep },
    context,
  );
  const rungs = chosen.map(
    (own, i): Rung => ({
      ...steps[i],
      cutter: own.cutter,
      reaches: (v) => reachesVertex(own, v),
      stickout: probe.atVertices(own.cutter, onlyReachedBy(own, chosen.slice(0, i))),
      rest: rest[i],
    }),
  );
  const tight = await leftPatches([fitting[0]], true, input, context);
  return {
    rungs,
    leftOut: [...leftOut, ...notConsidered(candidates, setup.cutters)],
    finisher: rungs[0].cutter,
    finisherLeft: chosen[0].share,
    tight,
    leftover: await leftPatches(whole, isNested, input, context),
    last: candidates[candidates.length - 1].cutter,
    tooDeep,
    cutterFor: finisherOf(chosen, tight, input),
    isNested,
  };
}

/** The pure choice, from what the survey found. */
function stepsOf(
  candidates: readonly Candidate[],
  isNested: boolean,
  { reach, setup, times, probe }: LadderInput,
): { readonly steps: readonly Step[]; readonly leftOut: readonly LeftOutCutter[] } {
  const byMinutes = isNested && setup.ladderRule === 'fastest';
  const areas = reach.areas.map((area, f) => (reach.labels[f] < MACHINABLE_CLASSES ? area : 0));
  const { steps, leftOut } = chooseSteps(
    candidates.map((own, at) => ({
      id: own.cutter.id,
      left: own.share,
      barred: byMinutes ? tooShort(own, candidates.slice(Math.max(0, at - 1), at), probe) : null,
    })),
    {
      areas,
      byMinutes,
      firstShare: setup.firstCutterShare ?? FIRST_SHARE[setup.ladderRule],
      leastGainMm2: LEAST_GAIN * compensatedSum(areas),
      toolChangeMinutes: setup.machine.toolChangeSeconds / 60,
      minutes: (before, at, after) => times(before, candidates[at].cutter, after),
    },
  );
  return { steps, leftOut: leftOut.map(({ id, ...why }) => ({ cutterId: id, ...why })) };
}

/** Whether a vertex is reached by a cutter and by none of some others. */
const onlyReachedBy =
  (own: Candidate, others: readonly Candidate[]) =>
  (v: number): boolean =>
    reachesVertex(own, v) && !others.some((other) => reachesVertex(other, v));

/** Reason not to use a cutter: it is too short for the places for which it is the largest that gets in. */
function tooShort(own: Candidate, larger: readonly Candidate[], probe: StickoutProbe): string | null {
  const { exceedsUsable, stickoutMm } = probe.atVertices(own.cutter, onlyReachedBy(own, larger));
  if (!exceedsUsable) return null;
  return `where it is needed it must stick out ${digits(stickoutMm)} mm, more than its LU of ${own.cutter.LU} mm`;
}

/** Cutters of the catalogue that the ladder is not chosen from. */
function notConsidered(candidates: readonly Candidate[], cutters: readonly Cutter[]): LeftOutCutter[] {
  return cutters.flatMap((cutter): LeftOutCutter[] => {
    if (candidates.some((candidate) => candidate.cutter.id === cutter.id)) return [];
    const out = { cutterId: cutter.id, extraMinutes: null };
    if (cutterShape(cutter) !== 'ball') {
      return [{ ...out, reason: 'no-ball', detail: 'the ladder is chosen among straight ball-nose cutters' }];
    }
    const twin = candidates.find((candidate) => candidate.cutter.RE === cutter.RE);
    return [{ ...out, reason: 'same-radius', detail: `${twin?.cutter.id ?? 'another'} has the same radius` }];
  });
}

/** What none of some cutters reaches; of nested ones, large to small, the last counts alone. */
async function leftPatches(
  cutters: readonly Candidate[],
  isNested: boolean,
  { reach, setup, part: smooth, engine }: LadderInput,
  context: Context,
): Promise<TightPatches> {
  if (isNested) return tightPatches({ ...reach, own: cutters[cutters.length - 1] }, setup.toleranceMm);
  let part = wholeSurface(reach.surface, reach.labels);
  const options = {
    isWhole: false,
    reachRadii: new Float64Array(reach.counts.length).fill(NaN),
    toldBorder: NOTHING_TOLD,
    around: false,
    smooth,
    accuracyMm: BORDER_ACCURACY_MM,
  };
  for (const { profile, counts, index } of cutters) {
    const probe = reachProbe(engine, offsetProfile(profile, setup.stockMm));
    const known = mapTo(new Int8Array(counts.length), counts, (count) => (count > index ? 1 : 0));
    part = unreachedOf(await cutByReach(part, probe, { ...options, known }, context));
  }
  const member = mapTo(new Int32Array(part.labels.length), part.labels, (label) =>
    label < MACHINABLE_CLASSES ? 0 : -1,
  );
  const ballReach = (v: number): number => (part.origin[v] < 0 ? NaN : reach.reachRadii[part.origin[v]]);
  return patchesOf({ surface: part.surface, member, ballReach }, setup.toleranceMm);
}

/** Of each patch that the first cutter leaves the one after which nothing is left of it. */
function finisherOf(
  rungs: readonly Candidate[],
  { patches, patchOf, surface }: TightPatches,
  { reach }: LadderInput,
): Ladder['cutterFor'] {
  // The patches were cut from this part of the surface: its vertices come first, in the same order. Those put in at
  // its border are reached by all.
  const faces = touchingFaces(reach.surface, reach.labels, (v) => !reachesVertex(rungs[0], v));
  const { vertexOf } = subSurface(reach.surface, faces);
  const last = new Float64Array(patches.length);
  surface.mesh.triangles.forEach((v, h) => {
    const patch = patchOf[(h / 3) | 0];
    if (patch < 0 || v >= vertexOf.length) return;
    const first = rungs.findIndex((rung) => reachesVertex(rung, vertexOf[v]));
    last[patch] = Math.max(last[patch], first < 0 ? Infinity : first);
  });
  return (patch) => rungs[last[patch]]?.cutter ?? null;
}

import { digits } from '../core/figures.js';
import type { Context } from '../core/context.js';
import { compensatedSum } from '../core/sum.js';
import type { Cutter } from '../cutter/catalogue.js';
import { reachesAllOf } from '../cutter/nested-reach.js';
import type { Stickout } from '../reach/stickout.js';
import type { TightPatches } from '../reach/tight-patches.js';
import { FIRST_SHARE } from '../options.js';
import { subSurface } from '../surface/sub-surface.js';
import { touchingFaces } from '../surface/touching-faces.js';
import { chooseSteps, type Step } from '../time/ladder.js';
import { newAsked, type Asked } from '../time/ladder-search.js';
import type { CutterReach } from './analyse-cutters.js';
import {
  areNested,
  cornersCutBy,
  ladderCandidates,
  leastGain,
  leftTogether,
  machinableAreas,
  reachesVertex,
  type Candidate,
  type CandidatesInput,
} from './ladder-candidates.js';
import { patchesDone } from './floors-and-walls.js';
import type { StickoutProbe } from './ladder-stickout.js';
import { isMill, type LadderTimes } from './ladder-times.js';
import type { MillTimes } from './mill-times.js';
import type { ROLES } from '../plan/plan.js';
import { ladderRest } from './ladder-rest.js';
import { leftPatches } from './left-patches.js';
import type { Mill, MillReach } from './mill-reach.js';
import type { RestWork } from './rest-work.js';
import { withinLength, withoutSlender, type DeepPlace, type LengthLimit } from './too-deep.js';
import { oneMore, otherLadder, whyNot, type LeftOutCutter, type OtherLadder } from './why-not.js';

/** One cutter of the ladder and what it leaves. */
export interface Rung
  extends Pick<Step, 'finishedAreaMm2' | 'leftAreaMm2' | 'left' | 'minutes' | 'savesMinutes'> {
  readonly cutter: Cutter;
  /** (F) share of each facet that it would leave by itself */
  readonly share: Float64Array;
  /** floors and walls; waterline and raster over what is left; rest alone */
  readonly role: (typeof ROLES)[number];
  /** its passes over floors and walls; none of a ball */
  readonly milled: ReturnType<MillTimes>;
  /** whether it reaches a vertex of the surface on which reach was computed */
  readonly reaches: (v: number) => boolean;
  /** at all places that it finishes */
  readonly stickout: Stickout;
  /** what it must clean after those before it; null: nothing, or it is the first */
  readonly rest: RestWork | null;
  /** the best ladder without it; null: none may begin */
  readonly without: OtherLadder | null;
}

export interface Ladder {
  /** those for floors and walls, then the others, each large to small, at least one */
  readonly rungs: readonly Rung[];
  readonly leftOut: readonly LeftOutCutter[];
  /** the least that another cutter, added to the ladder as it is, makes the job longer; null: nothing was compared */
  readonly oneMore: { readonly cutterId: string; readonly extraMinutes: number } | null;
  /** the next best choice, and what the job takes longer with it; null: there is none, or nothing was compared */
  readonly second: { readonly cutterIds: readonly string[]; readonly extraMinutes: number } | null;
  /** floors and walls that flat and bull-nose cutters of the ladder have been on */
  readonly done: readonly boolean[];
  /** the first that finishes more than floors and walls; where none need do so, the one that would be */
  readonly finisher: Cutter;
  /** (F) share of each facet of the surface on which reach was computed that it leaves */
  readonly finisherLeft: Float64Array;
  /** what the finisher does not reach */
  readonly tight: TightPatches;
  /** what no cutter of the catalogue reaches */
  readonly leftover: TightPatches;
  /** the last that a place can be left to: the smallest */
  readonly last: Cutter;
  /** what cutters of the catalogue get into, but would have to stick out too far for their diameter */
  readonly tooDeep: readonly DeepPlace[];
  /** cutter of the ladder that finishes a tight place; null: none reaches all of it */
  readonly cutterFor: (patch: number) => FinishedBy | null;
  /** each cutter of the catalogue surely reaches all that larger ones reach */
  readonly isNested: boolean;
}

/** The last cutter of a ladder that a tight place needs, and at which vertices of what was cut out it does. */
export interface FinishedBy {
  readonly cutter: Cutter;
  readonly isOwn: (v: number) => boolean;
}

export interface LadderInput extends CandidatesInput {
  readonly times: LadderTimes;
  readonly probe: StickoutProbe;
  readonly milled: MillReach;
  /** what the cutters leave that are neither straight balls nor for floors and walls */
  readonly others: readonly CutterReach[];
}

/**
 * Chooses the finishing cutters by the rule of the set-up, with a reason for every other cutter of the
 * catalogue, and cuts out what the first of them, and all of them, leave. Where reach is not nested no order
 * by minutes is searched: the largest runs first.
 *
 * @throws {RangeError} for an empty catalogue
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the order of the steps is read in one piece
export async function chooseLadder(input: LadderInput, context: Context): Promise<Ladder> {
  const { reach, setup, part, engine, probe, times } = input,
    { mills, on } = input.milled;
  const limit = { reach, probe, mostLengthToDiameter: setup.mostLengthToDiameter };
  const finishers = await ladderCandidates(input, context);
  const {
    candidates: within,
    places: tooDeep,
    crumbs: deepCrumbs,
    isDeep,
  } = withinLength(finishers, mills, limit);
  const isNested = areNested(within);
  const whole = [...mills, ...finishers];
  const {
    candidates,
    choice: { told, second, path },
  } = withinTheirLength([...mills, ...within], isNested, limit, input);
  const { steps, leftOut } = told();
  const areas = machinableAreas(reach),
    leastGainMm2 = leastGain(areas),
    cutters = candidates.map(({ cutter }) => cutter);
  const chosen = path.map((at) => candidates[at]);
  const fitting = steps.map(({ at }) => whole[at]);
  const { stockMm, blendShare, toleranceMm } = setup;
  const rest = await ladderRest(
    fitting,
    on,
    { ...reach, part, engine, stockMm, blendShare, toleranceMm, isDeep, leastGainMm2 },
    context,
  );
  const mine = chosen.filter(isMill);
  const done = patchesDone(
    on,
    reach.areas.map((_, f) => leftTogether(mine, f)),
  );
  const first = chosen.findIndex((own) => !isMill(own));
  const smallest = finishers[finishers.length - 1];
  const least = mills.filter((own) => !mills.some((one) => one !== own && doesAllOf(one, own)));
  const left = await leftPatches(
    isNested && mills.length === 0 ? finishers : isNested ? [smallest, ...least] : [...mills, ...finishers],
    isNested && mills.length === 0,
    input,
    context,
  );
  const leftover = { ...left, crumbs: bothCrumbs(left.crumbs, deepCrumbs) };
  const sharesMm2 = (some: readonly Candidate[]): number =>
    compensatedSum(areas.map((area, f) => area * leftTogether(some, f)));
  const listedMm2 = compensatedSum(
    [...leftover.patches, leftover.crumbs, ...tooDeep].map((own) => own.areaMm2),
  );
  // Where two cutters reach parts of a facet, what both leave is no more than the least share: the places that were cut
  // out tell it, and what others of the catalogue would reach comes on top.
  const lastMm2 =
    mills.length === 0
      ? steps[steps.length - 1].leftAreaMm2
      : listedMm2 + sharesMm2(chosen) - sharesMm2(candidates);
  // None leaves less than is left in the end.
  const leftMm2 = steps.map(({ leftAreaMm2 }, i) =>
    i === steps.length - 1 ? lastMm2 : Math.max(leftAreaMm2, lastMm2),
  );
  const rungs = chosen.map((own, i): Rung => {
    const { leftAreaMm2, finishedAreaMm2 } = steps[i];
    return {
      ...steps[i],
      leftAreaMm2: leftMm2[i],
      finishedAreaMm2: (leftMm2[i - 1] ?? leftAreaMm2 + finishedAreaMm2) - leftMm2[i],
      cutter: own.cutter,
      share: own.share,
      role: isMill(own) ? 'floors and walls' : i === first ? 'passes' : 'rest',
      milled: isMill(own) ? times.mill(steps[i - 1]?.left ?? null, own) : [],
      reaches: (v) => reachesVertex(own, v),
      stickout: probe.atCorners(own.cutter, cornersCutBy(own, chosen.slice(0, i), reach)),
      rest: rest[i],
      without: otherLadder(steps[i].without, {
        cutters,
        path,
        lastVolumeMm3: rest[i]?.volumeMm3,
        leastGainMm2,
      }),
    };
  });
  const finisher = fitting[first] ?? finishers[0],
    ofPasses = chosen[first] ?? within[0];
  const tight = await leftPatches([finisher], true, input, context);
  return {
    rungs,
    second: second && {
      cutterIds: second.path.map((at) => candidates[at].cutter.id),
      extraMinutes: second.extraMinutes,
    },
    done,
    leftOut: whyNot(leftOut, { cutters, whole, limit, leastGainMm2, setup, others: input.others }),
    oneMore: oneMore(leftOut),
    finisher: finisher.cutter,
    finisherLeft: ofPasses.share.map((share, f) => (first < 0 || done[on.patchOf[f]] ? 1 : share)),
    tight,
    leftover,
    last: smallest.cutter,
    tooDeep,
    cutterFor: finisherOf(chosen, finisher, tight, input),
    isNested,
  };
}

/** Whether a mill does what another does: it reaches as much, and is long enough wherever that is. */
const doesAllOf = (one: Mill, other: Mill): boolean =>
  reachesAllOf(one.profile, other.profile) &&
  other.shapes.every(({ areaMm2 }, p) => areaMm2 === 0 || one.shapes[p].areaMm2 > 0);

const bothCrumbs = (a: TightPatches['crumbs'], b: TightPatches['crumbs']): TightPatches['crumbs'] => ({
  count: a.count + b.count,
  areaMm2: a.areaMm2 + b.areaMm2,
});

/** The choice in which no cutter works where it would stick out too far, and the candidates as it was made from. */
function withinTheirLength(
  candidates: readonly Candidate[],
  isNested: boolean,
  limit: LengthLimit,
  input: LadderInput,
  asked = newAsked(),
): { readonly candidates: readonly Candidate[]; readonly choice: ReturnType<typeof chooseSteps> } {
  const choice = stepsOf(candidates, isNested, input, asked);
  // Of all that no ladder must do, only what the best ones do is looked for, until these may.
  const less = [choice.path, choice.second?.path ?? []].reduce(
    (some, path) => withoutSlender(some, path, limit) ?? some,
    candidates,
  );
  return less === candidates
    ? { candidates, choice }
    : withinTheirLength(less, isNested, limit, input, asked);
}

/** The pure choice, from what the survey found. */
function stepsOf(
  candidates: readonly Candidate[],
  isNested: boolean,
  input: LadderInput,
  asked: Asked,
): ReturnType<typeof chooseSteps> {
  const { reach, setup, times } = input;
  const byMinutes = isNested && setup.ladderRule === 'fastest';
  const largerBy = (at: number): readonly Candidate[] =>
    candidates.slice(0, at).filter((own, i) => isMill(own) || i === at - 1);
  const areas = machinableAreas(reach);
  return chooseSteps(
    candidates.map((own, at) => ({
      id: own.cutter.id,
      left: own.share,
      larger: own.larger,
      isMill: isMill(own),
      // Mills are not asked to work where they would be too short.
      barred: byMinutes && !isMill(own) ? tooShort(own, largerBy(at), input) : null,
    })),
    {
      areas,
      byMinutes,
      firstShare: setup.firstCutterShare ?? FIRST_SHARE[setup.ladderRule],
      leastGainMm2: leastGain(areas),
      toolChangeMinutes: setup.machine.toolChangeSeconds / 60,
      leastGainMinutes: setup.leastGainMinutes,
      minutes: (before, at, earlier) =>
        times.minutes(
          before,
          candidates[at],
          earlier.map((other) => candidates[other]),
        ),
      leastRate: (at) => times.leastRate(candidates[at].cutter),
    },
    asked,
  );
}

/** Reason not to use a cutter: it is too short for the places for which it is the largest that gets in. */
function tooShort(
  own: Candidate,
  larger: readonly Candidate[],
  { probe, reach }: LadderInput,
): string | null {
  const { exceedsUsable, stickoutMm } = probe.atCorners(own.cutter, cornersCutBy(own, larger, reach));
  if (!exceedsUsable) return null;
  return `where it is needed it must stick out ${digits(stickoutMm)} mm, more than its LU of ${own.cutter.LU} mm`;
}

/** Of each patch that the finisher leaves the one after which nothing is left of it. */
function finisherOf(
  rungs: readonly Candidate[],
  finisher: Candidate,
  { patches, patchOf, surface }: TightPatches,
  { reach }: LadderInput,
): Ladder['cutterFor'] {
  // The patches were cut from this part of the surface: its vertices come first, in the same order. Those put in at
  // its border are reached by all.
  const faces = touchingFaces(reach.surface, reach.labels, (v) => !reachesVertex(finisher, v));
  const { vertexOf } = subSurface(reach.surface, faces);
  const last = new Float64Array(patches.length);
  const first = Float64Array.from(vertexOf, (own) => {
    const at = rungs.findIndex((rung) => reachesVertex(rung, own));
    return at < 0 ? Infinity : at;
  });
  surface.mesh.triangles.forEach((v, h) => {
    const patch = patchOf[(h / 3) | 0];
    if (patch >= 0 && v < first.length) last[patch] = Math.max(last[patch], first[v]);
  });
  return (patch) => {
    const own = rungs[last[patch]];
    return own ? { cutter: own.cutter, isOwn: (v) => first[v] === last[patch] } : null;
  };
}

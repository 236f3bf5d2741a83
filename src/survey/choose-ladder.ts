import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { runningSum } from '../core/sum.js';
import { cutterShape, type Cutter } from '../cutter/catalogue.js';
import type { Stickout } from '../reach/stickout.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import type { SmoothPart } from '../part/sagittas.js';
import type { Setup } from '../setup.js';
import { tightPatches, type TightPatches } from '../reach/tight-patches.js';
import { profileOfCutter } from './analyse-cutters.js';
import type { ReachAnalysis, Reached } from './analyse-reach.js';
import type { StickoutProbe } from './ladder-stickout.js';
import type { LadderTimes } from './ladder-times.js';
import { restWorks, type LadderCutter, type RestWork } from './rest-work.js';
import { pickCutters, type Candidate, type LeftOutCutter } from './pick-cutters.js';

/** One cutter of the ladder and what it leaves. */
export interface Rung {
  readonly cutter: Cutter;
  readonly reach: Reached;
  /** whether it reaches a vertex of the surface on which reach was computed */
  readonly reaches: (v: number) => boolean;
  /** reached by it and by none before it, mm² */
  readonly finishedAreaMm2: number;
  /** reached neither by it nor by those before it, mm² */
  readonly leftAreaMm2: number;
  /** cutting, the change of cutter not counted */
  readonly minutes: number;
  /**
   * what the job takes longer without it; null: without it some area stays unreached, or nothing was compared
   */
  readonly savesMinutes: number | null;
  /** at all places that it finishes */
  readonly stickout: Stickout;
  /** what it must clean after those before it; null: it is the first */
  readonly rest: RestWork | null;
}

export interface Ladder {
  readonly machinableAreaMm2: number;
  /** large to small, at least one */
  readonly rungs: readonly Rung[];
  readonly leftOut: readonly LeftOutCutter[];
  readonly finisher: Cutter;
  /** what the first cutter does not reach */
  readonly tight: TightPatches;
  /** what no cutter of the catalogue reaches */
  readonly leftover: TightPatches;
  /** the last that a place can be left to: the smallest */
  readonly last: Cutter;
  /** largest cutter of the catalogue that reaches all of a tight place; null: none does */
  readonly cutterFor: (patch: number) => Cutter | null;
  /** the ladder could not be chosen among straight ball-nose cutters: there are none */
  readonly hasNoBall: boolean;
}

/** Straight ball-nose cutters of a catalogue, one per radius, ascending. */
export function ballOf(cutters: readonly Cutter[]): Cutter[] {
  const balls = cutters.filter((cutter) => cutterShape(cutter) === 'ball').sort((a, b) => a.RE - b.RE);
  return balls.filter((cutter, i) => i === 0 || cutter.RE > balls[i - 1].RE);
}

/**
 * The cutters that stand for a ladder that is not yet chosen, ascending: the balls, or all if there are none.
 */
export function finishersOf(cutters: readonly Cutter[]): Cutter[] {
  const balls = ballOf(cutters);
  return balls.length > 0 ? balls : [...cutters].sort((a, b) => a.DC - b.DC || a.RE - b.RE);
}

export interface LadderInput {
  readonly reach: ReachAnalysis;
  readonly balls: readonly Cutter[];
  readonly setup: Setup;
  readonly part: SmoothPart;
  readonly engine: ReachAnswers;
  readonly times: LadderTimes;
  readonly probe: StickoutProbe;
}

function machinableArea({ areas, labels }: ReachAnalysis): number {
  const sum = runningSum();
  areas.forEach((area, f) => {
    if (labels[f] < MACHINABLE_CLASSES) sum.add(area);
  });
  return sum.value();
}

function candidateOf(cutter: Cutter, { byRadius }: ReachAnalysis): Candidate {
  const index = byRadius.findIndex(({ radiusMm }) => radiusMm === cutter.RE);
  if (index < 0) throw new RangeError(`chooseLadder: radius ${cutter.RE} was not surveyed`);
  return { cutter, index, reach: byRadius[index] };
}

/**
 * Chooses the finishing cutters among straight ball-nose cutters, and cuts out what the first of them, and
 * all of them, leave.
 *
 * @throws {RangeError} without any; `otherLadder` is for that
 */
export async function chooseLadder(
  { reach, balls, setup, part, engine, times, probe }: LadderInput,
  context: Context,
): Promise<Ladder> {
  if (balls.length === 0) throw new RangeError('chooseLadder: no ball-nose cutter');
  const machinableAreaMm2 = machinableArea(reach);
  const candidates = balls.map((cutter) => candidateOf(cutter, reach));
  const picked = pickCutters({ candidates, setup, times, probe, machinableAreaMm2 });
  const rest = await restWorks(
    picked.chosen.map(({ candidate }) => inLadder(candidate, reach)),
    { ...setup, ...reach, part, engine },
    context,
  );
  const rungs = picked.chosen.map(
    ({ candidate: { cutter, index, reach: own }, minutes, savesMinutes }, i): Rung => {
      const before = i === 0 ? null : picked.chosen[i - 1].candidate;
      const leftBefore = before?.reach.unreachedAreaMm2 ?? machinableAreaMm2;
      return {
        cutter,
        reach: own,
        minutes,
        savesMinutes,
        rest: rest[i],
        reaches: (v) => reach.counts[v] > index,
        stickout: probe.atReached(cutter, index, before?.index ?? -1),
        finishedAreaMm2: Math.max(0, leftBefore - own.unreachedAreaMm2),
        leftAreaMm2: own.unreachedAreaMm2,
      };
    },
  );
  const leftBy = ({ border }: Reached): TightPatches =>
    tightPatches({ ...reach, own: { counts: reach.counts, border } }, setup.toleranceMm);
  const tight = leftBy(rungs[0].reach);
  return {
    machinableAreaMm2,
    rungs,
    leftOut: picked.leftOut,
    finisher: rungs[0].cutter,
    last: balls[0],
    hasNoBall: false,
    tight,
    leftover: leftBy(candidates[0].reach),
    cutterFor: (patch) =>
      balls.findLast(({ RE }) => RE <= tight.patches[patch].reachRadiusMm - setup.stockMm) ?? null,
  };
}

function inLadder({ cutter, index, reach }: Candidate, { counts }: ReachAnalysis): LadderCutter {
  const { restVolumeMm3, maxGapMm } = reach;
  return { profile: profileOfCutter(cutter), counts, index, restVolumeMm3, maxGapMm };
}

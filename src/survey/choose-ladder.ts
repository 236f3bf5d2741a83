import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { PartError } from '../core/errors.js';
import { runningSum } from '../core/sum.js';
import { cutterShape, type Cutter } from '../cutters/catalogue.js';
import type { Stickout } from '../cutters/stickout.js';
import type { ReachEngine } from '../fields/reach-engine.js';
import type { Setup } from '../setup.js';
import { tightPatches, type TightPatches } from '../zones/tight-patches.js';
import { profileOfCutter } from './analyse-cutters.js';
import type { RadiusReach, ReachAnalysis } from './analyse-reach.js';
import type { StickoutProbe } from './ladder-stickout.js';
import type { LadderTimes } from './ladder-times.js';
import { restWorks, type LadderCutter, type RestWork } from './rest-work.js';
import { pickCutters, type Candidate, type LeftOutCutter } from './pick-cutters.js';

/** One cutter of the ladder and what it leaves. */
export interface Rung {
  readonly cutter: Cutter;
  readonly reach: RadiusReach;
  /** cutting, the change of cutter not counted */
  readonly minutes: number;
  /** what the job takes longer without it; null: without it some area stays unreached, or nothing was compared */
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
  /** balls of the catalogue, ascending */
  readonly balls: readonly Cutter[];
}

/** Straight ball-nose cutters of a catalogue, one per radius, ascending. */
export function ballOf(cutters: readonly Cutter[]): Cutter[] {
  const balls = cutters.filter((cutter) => cutterShape(cutter) === 'ball').sort((a, b) => a.RE - b.RE);
  return balls.filter((cutter, i) => i === 0 || cutter.RE > balls[i - 1].RE);
}

interface LadderInput {
  readonly reach: ReachAnalysis;
  readonly balls: readonly Cutter[];
  readonly setup: Setup;
  readonly sagittas: Float32Array;
  readonly engine: ReachEngine;
  readonly times: LadderTimes;
  readonly probe: StickoutProbe;
}

/**
 * Chooses the finishing cutters and cuts out what the first of them, and all of them, leave.
 *
 * @throws {PartError} `cutters.no-ball` if the catalogue has no ball-nose cutter
 */
export async function chooseLadder(
  { reach, balls, setup, sagittas, engine, times, probe }: LadderInput, context: Context,
): Promise<Ladder> {
  if (balls.length === 0) {
    throw new PartError({
      code: 'cutters.no-ball', where: 'cutters', what: 'the catalogue has no ball-nose cutter',
      remedy: 'add one: steep walls and shallow ground are finished with balls',
    });
  }
  const machinable = runningSum();
  reach.areas.forEach((area, f) => { if (reach.labels[f] < MACHINABLE_CLASSES) machinable.add(area); });
  const machinableAreaMm2 = machinable.value();
  const candidates = balls.map((cutter) => {
    const index = reach.byRadius.findIndex(({ radiusMm }) => radiusMm === cutter.RE);
    if (index < 0) throw new RangeError(`chooseLadder: radius ${cutter.RE} was not surveyed`);
    return { cutter, index, reach: reach.byRadius[index] };
  });
  const picked = pickCutters({ candidates, setup, times, probe, machinableAreaMm2 });
  const rest = await restWorks(
    picked.chosen.map(({ candidate }) => inLadder(candidate, reach)),
    { ...reach, sagittas, engine, stockMm: setup.stockMm, blendShare: setup.blendShare }, context,
  );
  const rungs = picked.chosen.map(({ candidate: { cutter, index, reach: own }, minutes, savesMinutes }, i): Rung => ({
    cutter, reach: own, minutes, savesMinutes, rest: rest[i],
    stickout: probe.atReached(cutter, index, i === 0 ? -1 : picked.chosen[i - 1].candidate.index),
  }));
  const patchesOf = ({ border }: RadiusReach): Promise<TightPatches> => tightPatches(
    reach.surface, reach.labels, reach.counts, reach.radii, border, sagittas, setup.toleranceMm, engine, context,
  );
  return {
    machinableAreaMm2, rungs, leftOut: picked.leftOut, finisher: rungs[0].cutter, balls,
    tight: await patchesOf(rungs[0].reach),
    leftover: await patchesOf(candidates[0].reach),
  };
}

const inLadder = ({ cutter, index, reach: { restVolumeMm3, maxGapMm } }: Candidate, { counts }: ReachAnalysis): LadderCutter => (
  { profile: profileOfCutter(cutter), counts, index, restVolumeMm3, maxGapMm });

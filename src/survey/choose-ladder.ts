import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { PartError } from '../core/errors.js';
import { runningSum } from '../core/sum.js';
import { cutterShape, type Cutter } from '../cutters/catalogue.js';
import { plainLadder } from '../cutters/cutter-ladder.js';
import type { ReachEngine } from '../fields/reach-engine.js';
import type { Setup } from '../setup.js';
import { tightPatches, type TightPatches } from '../zones/tight-patches.js';
import type { RadiusReach, ReachAnalysis } from './analyse-reach.js';

/** One cutter of the ladder and what it leaves. */
export interface Rung {
  readonly cutter: Cutter;
  readonly reach: RadiusReach;
}

export interface Ladder {
  readonly machinableAreaMm2: number;
  /** large to small, at least one */
  readonly rungs: readonly Rung[];
  readonly finisher: Cutter;
  /** what the first cutter does not reach */
  readonly tight: TightPatches;
  /** what no cutter of the catalogue reaches */
  readonly leftover: TightPatches;
  /** balls of the catalogue, ascending */
  readonly balls: readonly Cutter[];
}

/** A cutter that finishes less than this share of the machinable area more than the last is not worth a change. */
const LEAST_GAIN = 1e-4;

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
}

/**
 * Chooses the finishing cutters and cuts out what the first of them, and all of them, leave.
 *
 * @throws {PartError} `cutters.no-ball` if the catalogue has no ball-nose cutter
 */
export async function chooseLadder(
  { reach, balls, setup, sagittas, engine }: LadderInput, context: Context,
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
  const reachOf = (cutter: Cutter): RadiusReach => {
    const found = reach.byRadius.find(({ radiusMm }) => radiusMm === cutter.RE);
    if (!found) throw new RangeError(`chooseLadder: radius ${cutter.RE} was not surveyed`);
    return found;
  };
  const candidates = balls.map((cutter) => ({ cutter, unreachedAreaMm2: reachOf(cutter).unreachedAreaMm2 }));
  const indices = plainLadder(
    candidates, machinableAreaMm2, setup.firstCutterShare, LEAST_GAIN * machinableAreaMm2,
  );
  const rungs = indices.map((i) => ({ cutter: balls[i], reach: reachOf(balls[i]) }));
  const patchesOf = ({ border }: RadiusReach): Promise<TightPatches> => tightPatches(
    reach.surface, reach.labels, reach.counts, reach.radii, border, sagittas, setup.toleranceMm, engine, context,
  );
  return {
    machinableAreaMm2, rungs, finisher: rungs[0].cutter, balls,
    tight: await patchesOf(rungs[0].reach),
    leftover: await patchesOf(reachOf(balls[0])),
  };
}

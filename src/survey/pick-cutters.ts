import { cutterShape, type Cutter } from '../cutter/catalogue.js';
import { plainLadder } from '../time/cutter-ladder.js';
import { FIRST_SHARE } from '../options.js';
import type { Setup } from '../resolve-setup.js';
import { nestedLadder, type LadderOptions, type LeftOut, type Rung } from '../time/ladder.js';
import type { RadiusReach } from './analyse-reach.js';
import type { StickoutProbe } from './ladder-stickout.js';
import type { LadderTimes } from './ladder-times.js';

/** A ball of the catalogue and what the survey found for its radius. */
export interface Candidate {
  readonly cutter: Cutter;
  /** of its radius in the survey */
  readonly index: number;
  readonly reach: RadiusReach;
}

export interface ChosenCutter {
  readonly candidate: Candidate;
  readonly minutes: number;
  readonly savesMinutes: number | null;
}

/** Why a cutter of the catalogue is not in the ladder. */
export interface LeftOutCutter {
  readonly cutterId: string;
  readonly reason: LeftOut['reason'] | 'below-first-share' | 'no-ball' | 'same-radius';
  readonly detail: string;
  /** what the job would take longer with it; null: not known, or it cannot be used */
  readonly extraMinutes: number | null;
}

export interface PickInput {
  /** ascending by radius, not empty */
  readonly candidates: readonly Candidate[];
  readonly setup: Setup;
  readonly times: LadderTimes;
  readonly probe: StickoutProbe;
  readonly machinableAreaMm2: number;
}

export interface PickedCutters {
  /** large to small */
  readonly chosen: readonly ChosenCutter[];
  readonly leftOut: readonly LeftOutCutter[];
}

/**
 * A cutter that finishes less than this share of the machinable area more than the last is not worth a
 * change.
 */
export const LEAST_GAIN = 1e-4;

/** The finishing cutters by the rule of the set-up, and a reason for every other cutter of the catalogue. */
export function pickCutters(input: PickInput): PickedCutters {
  const picked = input.setup.ladderRule === 'fastest' ? fastest(input) : largestFirst(input);
  return { ...picked, leftOut: [...picked.leftOut, ...notConsidered(input)] };
}

function largestFirst({ candidates, setup, times, machinableAreaMm2 }: PickInput): PickedCutters {
  const share = setup.firstCutterShare ?? FIRST_SHARE['largest-first'];
  const reaches = candidates.map(({ cutter, reach: { unreachedAreaMm2 } }) => ({ cutter, unreachedAreaMm2 }));
  const indices = plainLadder(reaches, machinableAreaMm2, share, LEAST_GAIN * machinableAreaMm2);
  const chosen = indices.map((at, i): ChosenCutter => {
    const candidate = candidates[at];
    const { cutter, reach } = candidate;
    const minutes =
      i === 0 ? times.first(cutter, reach) : times.after(candidates[indices[i - 1]].reach, cutter, reach);
    return { candidate, minutes, savesMinutes: null };
  });
  const leftOut = candidates.flatMap(({ cutter, reach }, at): LeftOutCutter[] => {
    if (indices.includes(at)) return [];
    if (at > indices[0]) return [belowShare(cutter, reach, share, machinableAreaMm2)];
    return [
      {
        cutterId: cutter.id,
        reason: 'reaches-nothing-more',
        extraMinutes: null,
        detail: 'it reaches nothing that the cutters before it do not',
      },
    ];
  });
  return { chosen, leftOut };
}

function fastest(input: PickInput): PickedCutters {
  const { candidates, setup, machinableAreaMm2 } = input;
  const share = setup.firstCutterShare ?? FIRST_SHARE.fastest;
  const most = candidates.reduce((best, { reach }) => Math.min(best, reach.unreachedAreaMm2), Infinity);
  // Where no cutter reaches the share, the one that reaches most must be allowed to begin.
  const mayLeave = Math.max(most * (1 + 1e-9), (1 - share) * machinableAreaMm2);
  const byId = new Map(candidates.map((candidate) => [candidate.cutter.id, candidate]));
  const of = ({ id }: { readonly id: string }): Candidate => {
    const found = byId.get(id);
    if (!found) throw new RangeError(`pickCutters: no cutter ${id}`);
    return found;
  };
  const options: LadderOptions = {
    totalAreaMm2: machinableAreaMm2,
    toolChangeMinutes: setup.machine.toolChangeSeconds / 60,
    areaToleranceMm2: LEAST_GAIN * machinableAreaMm2,
    minutesAfter: minutesBetween(input, of, mayLeave),
  };
  const barredOf = new Map(
    candidates.map((candidate, i) => [candidate.cutter.id, tooShort(candidate, candidates[i + 1], input)]),
  );
  const rungs = nestedRungs(candidates, barredOf);
  const ladder = nestedLadder(withNeeded(rungs, options), options);
  // Nothing to finish, or nothing that any cutter reaches: the smallest still stands for the passes.
  const steps =
    ladder.steps.length > 0
      ? ladder.steps
      : [{ id: candidates[0].cutter.id, minutes: 0, savesMinutes: null }];
  return {
    chosen: steps.map((step) => ({
      candidate: of(step),
      minutes: step.minutes,
      savesMinutes: step.savesMinutes,
    })),
    leftOut: ladder.whyLeftOut
      .filter(({ id }) => steps.every((step) => step.id !== id))
      .map((left): LeftOutCutter => {
        const { cutter, reach } = of(left);
        if (left.reason === 'slower' && left.extraMinutes === null) {
          return belowShare(cutter, reach, share, machinableAreaMm2);
        }
        return {
          cutterId: left.id,
          reason: left.reason,
          detail: left.detail,
          extraMinutes: left.extraMinutes,
        };
      }),
  };
}

/** Minutes of any cutter after any other, each worked out once. */
function minutesBetween(
  { times }: PickInput,
  of: (rung: Rung) => Candidate,
  mayLeaveMm2: number,
): NonNullable<LadderOptions['minutesAfter']> {
  const known = new Map<string, number>();
  return (before, rung) => {
    const { cutter, reach } = of(rung);
    if (!before && reach.unreachedAreaMm2 > mayLeaveMm2) return Infinity;
    const key = JSON.stringify([before?.id ?? null, rung.id]);
    const minutes =
      known.get(key) ?? (before ? times.after(of(before).reach, cutter, reach) : times.first(cutter, reach));
    known.set(key, minutes);
    return minutes;
  };
}

/** Large to small; noise in the areas must not make a smaller ball reach less. */
function nestedRungs(candidates: readonly Candidate[], barredOf: ReadonlyMap<string, string | null>): Rung[] {
  let least = Infinity;
  return [...candidates].reverse().map(({ cutter: { id }, reach }) => {
    least = Math.min(least, reach.unreachedAreaMm2);
    // Rates are not asked for: the options give the minutes of every pair.
    return { id, unreachedAreaMm2: least, rateMm2PerMin: Infinity, barred: barredOf.get(id) ?? null };
  });
}

/** Reason not to use a cutter: it is too short for the places for which it is the largest that gets in. */
function tooShort(
  { cutter, index }: Candidate,
  larger: Candidate | undefined,
  { probe }: PickInput,
): string | null {
  const { exceedsUsable, stickoutMm } = probe.atReached(cutter, index, larger?.index ?? -1);
  if (!exceedsUsable) return null;
  return `where it is needed it must stick out ${Number(stickoutMm.toPrecision(3))} mm, more than its LU of ${cutter.LU} mm`;
}

/**
 * A cutter that is too short is used all the same, and reported, if it reaches what no other does: a longer
 * one of its size is easier to get than a corner that stays unfinished.
 */
function withNeeded(rungs: readonly Rung[], { areaToleranceMm2, totalAreaMm2 }: LadderOptions): Rung[] {
  const usable = rungs.filter((rung) => rung.barred === null);
  const least = usable.reduce((low, rung) => Math.min(low, rung.unreachedAreaMm2), totalAreaMm2);
  return rungs.map((rung) =>
    rung.unreachedAreaMm2 < least - areaToleranceMm2 ? { ...rung, barred: null } : rung,
  );
}

function belowShare(
  cutter: Cutter,
  reach: RadiusReach,
  share: number,
  machinableAreaMm2: number,
): LeftOutCutter {
  const percent = (part: number): string => `${Math.floor(100 * part)} %`;
  const reached = machinableAreaMm2 > 0 ? 1 - reach.unreachedAreaMm2 / machinableAreaMm2 : 0;
  return {
    cutterId: cutter.id,
    reason: 'below-first-share',
    extraMinutes: null,
    detail: `it reaches ${percent(reached)} of the machinable surface; the first cutter must reach ${percent(share)}`,
  };
}

/** Cutters of the catalogue that the ladder is not chosen from. */
function notConsidered({ candidates, setup }: PickInput): LeftOutCutter[] {
  return setup.cutters.flatMap((cutter): LeftOutCutter[] => {
    if (candidates.some((candidate) => candidate.cutter.id === cutter.id)) return [];
    const isBall = cutterShape(cutter) === 'ball';
    const twin = candidates.find((candidate) => candidate.cutter.RE === cutter.RE);
    return [
      {
        cutterId: cutter.id,
        reason: isBall ? 'same-radius' : 'no-ball',
        extraMinutes: null,
        detail: isBall
          ? `${twin?.cutter.id ?? 'another'} has the same radius`
          : 'the ladder is chosen among straight ball-nose cutters',
      },
    ];
  });
}

import { digits } from '../core/figures.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { compensatedSum } from '../core/sum.js';
import { cutterShape, mayFinish, type Cutter } from '../cutter/catalogue.js';
import type { LeftOutReason } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import type { LeftOut, Other } from '../time/ladder.js';
import type { CutterReach } from './analyse-cutters.js';
import { millsOf } from './floors-and-walls.js';
import { cornersCutBy, leftTogether, type Candidate } from './ladder-candidates.js';
import type { LengthLimit } from './too-deep.js';

/** A ladder of other cutters, and what it changes. */
export interface OtherLadder {
  /** in order of use */
  readonly cutterIds: readonly string[];
  /** what the job takes longer with it; below 0: it is shorter and leaves more */
  readonly extraMinutes: number;
  /** what it leaves beyond what the chosen one leaves */
  readonly leftAreaMm2: number;
  /** null: not computed */
  readonly leftVolumeMm3: number | null;
}

interface Chosen {
  /** of the candidates */
  readonly cutters: readonly Cutter[];
  readonly path: readonly number[];
  /** what the cutter that is missing takes away of what those before it leave */
  readonly lastVolumeMm3: number | undefined;
  readonly leastGainMm2: number;
}

/** The ladder without one of its cutters. */
export function otherLadder(
  other: Other | null,
  { cutters, path, lastVolumeMm3, leastGainMm2 }: Chosen,
): OtherLadder | null {
  if (other === null) return null;
  const isAsFar = other.moreLeftMm2 <= leastGainMm2;
  // What the last cutter takes away is what those before it leave, as long as they are the same.
  const isLast = other.path.join() === path.slice(0, -1).join();
  return {
    cutterIds: other.path.map((at) => cutters[at].id),
    extraMinutes: other.extraMinutes,
    leftAreaMm2: isAsFar ? 0 : other.moreLeftMm2,
    leftVolumeMm3: isAsFar ? 0 : isLast ? (lastVolumeMm3 ?? null) : null,
  };
}

/** Why a cutter of the catalogue is not in the ladder. */
export interface LeftOutCutter extends Pick<LeftOut, 'detail' | 'extraMinutes'> {
  readonly cutterId: string;
  readonly reason: LeftOutReason;
  /** of the best ladder with it: its cutting and the change to it; null: it cannot be used, or nothing was compared */
  readonly ownMinutes: number | null;
  /** there, too: what it would finish */
  readonly finishedAreaMm2: number | null;
  /** cutters of the ladder that are not in that one */
  readonly insteadOfIds: readonly string[];
  /** what the job would take longer with it added to the ladder as it is; null: likewise */
  readonly addedMinutes: number | null;
}

const UNUSED = {
  extraMinutes: null,
  ownMinutes: null,
  finishedAreaMm2: null,
  insteadOfIds: [],
  addedMinutes: null,
};

interface WhyNotInput {
  /** of the candidates */
  readonly cutters: readonly Cutter[];
  /** the candidates as they were before anything was taken from them for its depth */
  readonly whole: readonly Candidate[];
  readonly limit: LengthLimit;
  readonly leastGainMm2: number;
  readonly setup: Setup;
  readonly others: readonly CutterReach[];
}

/** A reason, with its figures, for every cutter of the catalogue that is not in the ladder. */
export function whyNot(leftOut: readonly LeftOut[], input: WhyNotInput): LeftOutCutter[] {
  const { cutters } = input;
  const ofCandidates = leftOut.map(({ id, reason, detail, extraMinutes, part, added }): LeftOutCutter => {
    const slender =
      reason === 'reaches-nothing-more'
        ? tooSlender(
            cutters.findIndex((one) => one.id === id),
            input,
          )
        : null;
    return {
      cutterId: id,
      reason: slender === null ? reason : 'too-slender',
      detail: slender ?? detail,
      extraMinutes,
      ownMinutes: part?.ownMinutes ?? null,
      finishedAreaMm2: part?.finishedAreaMm2 ?? null,
      insteadOfIds: (part?.insteadOf ?? []).map((at) => cutters[at].id),
      addedMinutes: added?.extraMinutes ?? null,
    };
  });
  return [...ofCandidates, ...notConsidered(input)];
}

/** The cutter that makes the job least longer when it is added to the ladder. */
export function oneMore(leftOut: readonly LeftOut[]) {
  const [least] = leftOut
    .flatMap(({ id, added }) => (added ? [{ cutterId: id, extraMinutes: added.extraMinutes }] : []))
    .sort((a, b) => a.extraMinutes - b.extraMinutes);
  return least ?? null;
}

/** What a cutter alone gets into, if it would have to stick out too far there. */
function tooSlender(
  at: number,
  { whole, limit: { reach, probe, mostLengthToDiameter }, leastGainMm2 }: WhyNotInput,
) {
  const own = whole[at],
    larger = whole.slice(0, at);
  const gainMm2 = compensatedSum(
    reach.areas.map((area, f) =>
      reach.labels[f] < MACHINABLE_CLASSES ? area * Math.max(0, leftTogether(larger, f) - own.share[f]) : 0,
    ),
  );
  if (gainMm2 <= leastGainMm2) return null;
  const { stickoutMm, lengthToDiameter } = probe.atCorners(own.cutter, cornersCutBy(own, larger, reach));
  return lengthToDiameter <= mostLengthToDiameter
    ? null
    : `what it gets into beyond the others, ${digits(gainMm2)} mm², takes a stickout of ${digits(stickoutMm)} mm, ` +
        `${digits(lengthToDiameter)} × DC; the set-up allows ${digits(mostLengthToDiameter)} × DC`;
}

/** Cutters of the catalogue that the ladder is not chosen from. */
function notConsidered({ cutters, setup, others }: WhyNotInput): LeftOutCutter[] {
  return setup.cutters.flatMap((cutter): LeftOutCutter[] => {
    if (cutters.some(({ id }) => id === cutter.id)) return [];
    const out = { cutterId: cutter.id, ...UNUSED };
    if (!mayFinish(cutter)) {
      const detail = `its stages are ${cutter.stages.join(', ')}`;
      return [{ ...out, reason: 'not-for-finishing', detail }];
    }
    if (cutterShape(cutter) !== 'ball') {
      const leaves = others.find(({ cutterId }) => cutterId === cutter.id)?.unreachedAreaMm2;
      const detail = millsOf(setup).includes(cutter)
        ? 'there is no level floor and no upright wall that it reaches'
        : 'the ladder is chosen among straight ball-nose cutters' +
          (leaves === undefined ? '' : `; it would leave ${digits(leaves)} mm²`);
      return [{ ...out, reason: 'no-ball', detail }];
    }
    const twin = cutters.find((one) => cutterShape(one) === 'ball' && one.RE === cutter.RE);
    const detail = `${twin?.id ?? 'another'} has the same RE of ${cutter.RE} mm`;
    return [{ ...out, reason: 'same-radius', detail }];
  });
}

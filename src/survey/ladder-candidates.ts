import { mapTo } from '../core/map-to.js';
import type { Context } from '../core/context.js';
import { cutterShape, mayFinish, type Cutter } from '../cutter/catalogue.js';
import { offsetProfile } from '../cutter/cutter-profile.js';
import { reachesAllOf } from '../cutter/nested-reach.js';
import type { SmoothPart } from '../part/sagittas.js';
import { cornersByVertex, reachedVertices } from '../reach/reached-vertices.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { NOTHING_TOLD } from '../reach/reach-middles.js';
import { reachProbe } from '../reach/reach-probe.js';
import { reachBorders, unreachedArea, type ReachBorder } from '../reach/unreached-area.js';
import type { Setup } from '../resolve-setup.js';
import { profileOfCutter } from './analyse-cutters.js';
import { BORDER_ACCURACY_MM, type ReachAnalysis, type Reached } from './analyse-reach.js';
import type { LadderCutter } from './rest-work.js';

/** A cutter that a ladder may be chosen from, and what it leaves of the surface on which reach was computed. */
export interface Candidate extends LadderCutter, Pick<Reached, 'share' | 'unreachedAreaMm2'> {
  readonly cutter: Cutter;
  /** null: of floors and walls alone, which were cut along it apart */
  readonly border: ReachBorder | null;
}

/** Share of facet f that some cutters leave together; all of it, if there are none. */
export const leftTogether = (some: readonly Pick<Candidate, 'share'>[], f: number): number =>
  some.reduce((least, { share }) => Math.min(least, share[f]), 1);

export interface CandidatesInput {
  readonly reach: ReachAnalysis;
  readonly setup: Setup;
  readonly part: SmoothPart;
  readonly engine: ReachAnswers;
}

/**
 * The cutters of a catalogue that may finish, large to small: its straight ball-nose cutters, one per radius; all
 * there are if it has none.
 */
export function finishersOf(cutters: readonly Cutter[]): Cutter[] {
  const sorted = cutters.filter(mayFinish).sort((a, b) => b.DC - a.DC || b.RE - a.RE);
  const balls = sorted.filter((cutter) => cutterShape(cutter) === 'ball');
  return balls.length > 0 ? balls.filter(({ RE }, i) => i === 0 || RE < balls[i - 1].RE) : sorted;
}

/** Whether a candidate reaches a vertex of the surface on which reach was computed. */
export const reachesVertex = ({ counts, index }: LadderCutter, v: number): boolean => counts[v] > index;

/** Whether a vertex is reached by a candidate and by none of some others. */
export const onlyReachedBy =
  (own: Candidate, others: readonly Candidate[]) =>
  (v: number): boolean =>
    reachesVertex(own, v) && !others.some((other) => reachesVertex(other, v));

/** Whether each candidate surely reaches all that the one before it reaches. */
export const areNested = (candidates: readonly Candidate[]): boolean =>
  candidates.every(({ profile }, i) => i === 0 || reachesAllOf(profile, candidates[i - 1].profile));

/** What each finisher of the set-up leaves, large to small. */
export async function ladderCandidates(input: CandidatesInput, context: Context): Promise<Candidate[]> {
  const candidates: Candidate[] = [];
  for (const cutter of finishersOf(input.setup.cutters)) {
    const isBall = cutterShape(cutter) === 'ball';
    candidates.push(isBall ? surveyedBall(cutter, input.reach) : await askedCutter(cutter, input, context));
  }
  return candidates;
}

function surveyedBall(cutter: Cutter, { byRadius, counts }: ReachAnalysis): Candidate {
  const index = byRadius.findIndex(({ radiusMm }) => radiusMm === cutter.RE);
  if (index < 0) throw new RangeError(`ladderCandidates: radius ${cutter.RE} was not surveyed`);
  return { cutter, profile: profileOfCutter(cutter), counts, index, ...byRadius[index] };
}

/** Asks at every vertex of the surface that was refined for balls, so that what cutters leave can be compared. */
async function askedCutter(
  cutter: Cutter,
  { reach, setup, part, engine }: CandidatesInput,
  context: Context,
): Promise<Candidate> {
  const { surface, labels, areas } = reach;
  const profile = profileOfCutter(cutter);
  const probe = reachProbe(engine, offsetProfile(profile, setup.stockMm));
  const reachRadii = await reachedVertices(
    [...reach.counts.keys()],
    { surface, labels, at: cornersByVertex(surface.mesh), part },
    probe,
    context,
  );
  const counts = mapTo(new Uint8Array(reachRadii.length), reachRadii, (radius) =>
    radius === Infinity ? 1 : 0,
  );
  const asked = { surface, labels, counts, reachRadii, toldBorder: NOTHING_TOLD, radii: probe.radii, part };
  const [border] = await reachBorders(asked, probe.engine, BORDER_ACCURACY_MM, context);
  const { totalMm2, share } = unreachedArea(asked, areas, border, new Float32Array(3 * areas.length));
  return { cutter, profile, counts, index: border.index, unreachedAreaMm2: totalMm2, share, border };
}

import { MACHINABLE_CLASSES } from '../core/classes.js';
import { compensatedSum } from '../core/sum.js';
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
import { leftIfLarger } from '../reach/left-if-larger.js';
import { fractionsAlong, reachBorders, unreachedArea, type ReachBorder } from '../reach/unreached-area.js';
import type { Setup } from '../resolve-setup.js';
import { grownStrips } from '../time/mill-pass.js';
import { profileOfCutter } from './analyse-cutters.js';
import { BORDER_ACCURACY_MM, type ReachAnalysis, type Reached } from './analyse-reach.js';
import type { LadderCutter } from './rest-work.js';

/** A cutter that a ladder may be chosen from, and what it leaves of the surface on which reach was computed. */
export interface Candidate extends LadderCutter, Pick<Reached, 'share' | 'unreachedAreaMm2'> {
  readonly cutter: Cutter;
  /** (F) share of each facet that it would leave if taken larger for the blend; what is beyond it told with it, so it may be over 1 */
  readonly larger: Float64Array;
  /** null: of floors and walls alone, which were cut along it apart */
  readonly border: ReachBorder | null;
}

/** Share of facet f that some cutters leave together; all of it, if there are none. */
export const leftTogether = (some: readonly Pick<Candidate, 'share'>[], f: number): number =>
  some.reduce((least, { share }) => Math.min(least, share[f]), 1);

/** (F) mm²; 0 where nothing is machined */
export const machinableAreas = ({ areas, labels }: Pick<ReachAnalysis, 'areas' | 'labels'>): Float64Array =>
  areas.map((area, f) => (labels[f] < MACHINABLE_CLASSES ? area : 0));

/** A cutter that finishes less than this share of the machinable area more than the last is not worth a change. */
const LEAST_GAIN = 1e-4;
export const leastGain = (areas: Float64Array): number => LEAST_GAIN * compensatedSum(areas);

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

/** Corners where a candidate cuts after some others: of facets that it does more of, at vertices that none of them reaches. */
export function cornersCutBy(
  own: Candidate,
  others: readonly Candidate[],
  { surface, labels }: Pick<ReachAnalysis, 'surface' | 'labels'>,
): number[] {
  const { triangles } = surface.mesh;
  const isNew = (v: number): boolean =>
    reachesVertex(own, v) && !others.some((other) => reachesVertex(other, v));
  return cornersWhere(
    labels.keys(),
    (h, f) => labels[f] < MACHINABLE_CLASSES && leftTogether(others, f) > own.share[f] && isNew(triangles[h]),
  );
}

/** Corners h of some facets f for which something holds. */
export function cornersWhere(faces: Iterable<number>, holds: (h: number, f: number) => boolean): number[] {
  const found: number[] = [];
  for (const f of faces) for (let h = 3 * f; h < 3 * f + 3; h++) if (holds(h, f)) found.push(h);
  return found;
}

/** Whether each candidate surely reaches all that the one before it reaches. */
export const areNested = (candidates: readonly Candidate[]): boolean =>
  candidates.every(({ profile }, i) => i === 0 || reachesAllOf(profile, candidates[i - 1].profile));

/** What each finisher of the set-up leaves, large to small. */
export async function ladderCandidates(input: CandidatesInput, context: Context): Promise<Candidate[]> {
  const candidates: Candidate[] = [];
  for (const cutter of finishersOf(input.setup.cutters)) {
    const isBall = cutterShape(cutter) === 'ball';
    candidates.push(isBall ? surveyedBall(cutter, input) : await askedCutter(cutter, input, context));
  }
  return candidates;
}

function surveyedBall(cutter: Cutter, { reach, setup }: Pick<CandidatesInput, 'reach' | 'setup'>): Candidate {
  const left = ballLeaves(cutter.RE, reach, setup);
  if (!left) throw new RangeError(`ladderCandidates: radius ${cutter.RE} was not surveyed`);
  return { cutter, profile: profileOfCutter(cutter), counts: reach.counts, ...left };
}

/** What a ball that was surveyed leaves, also if taken larger; undefined: it was not. */
export function ballLeaves(
  radiusMm: number,
  reach: ReachAnalysis,
  { stockMm, blendShare }: Pick<Setup, 'stockMm' | 'blendShare'>,
) {
  const { byRadius } = reach;
  const index = byRadius.findIndex((one) => one.radiusMm === radiusMm);
  if (index < 0) return undefined;
  const borders = byRadius.map(({ border }) => border),
    largerMm = radiusMm * (1 + blendShare) + stockMm;
  return { ...byRadius[index], index, larger: leftIfLarger(reach, borders, index, largerMm) };
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
  const ground = {
    ...surface,
    patchOf: Int8Array.from(labels, (label) => (label < MACHINABLE_CLASSES ? 0 : -1)),
    areas,
    reached: (f: number) => 1 - share[f],
    isReached: (v: number) => counts[v] > 0,
    fractions: fractionsAlong(border, surface.topology.twin, new Float64Array(3 * areas.length).fill(1)),
  };
  const strips = grownStrips(ground, () => setup.blendShare, setup.blendShare * profile.radiusMm),
    larger = share.map((left, f) => (strips[f] > 0 ? left + strips[f] / areas[f] : left));
  return { cutter, profile, counts, index: border.index, unreachedAreaMm2: totalMm2, share, larger, border };
}

import { mapTo } from '../core/map-to.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { runningSum } from '../core/sum.js';
import type { Cutter } from '../cutter/catalogue.js';
import { cornersByVertex, reachedVertices } from '../reach/reached-vertices.js';
import { reachProbe } from '../reach/reach-probe.js';
import { reachBorders, unreachedArea } from '../reach/unreached-area.js';
import { FIRST_SHARE } from '../setup-defaults.js';
import { offsetProfile } from '../cutter/cutter-profile.js';
import { keepByReach, wholeSurface } from '../reach/keep-by-reach.js';
import { patchesOf, tightPatches, type TightPatches } from '../reach/tight-patches.js';
import { profileOfCutter, type CutterReach } from './analyse-cutters.js';
import { BORDER_ACCURACY_MM, type Reached } from './analyse-reach.js';
import type { Ladder, LadderInput, Rung } from './choose-ladder.js';
import { LEAST_GAIN, type LeftOutCutter } from './pick-cutters.js';
import { restWorks, type LadderCutter } from './rest-work.js';

/** A cutter that is no ball, and what it reaches of the surface on which reach was computed. */
interface Candidate {
  readonly cutter: Cutter;
  readonly reach: Reached;
  /** (V) 1 reached, 0 not */
  readonly counts: Uint8Array;
}

interface Chosen {
  readonly candidate: Candidate;
  /** (F) share of each facet that the cutters up to this one leave */
  readonly left: Float64Array;
  readonly finishedAreaMm2: number;
  readonly leftAreaMm2: number;
  readonly minutes: number;
}

/**
 * The ladder of a catalogue without any straight ball-nose cutter: the largest cutter that reaches its share
 * of the machinable surface, or else the one that reaches most; then every smaller one that reaches what all
 * before it leave.
 *
 * Reach of such cutters is not nested: a flat end goes into the corner that a bull-nose of half its size
 * leaves. So what is left after some cutters is what none of them reaches, facet by facet, and no order by
 * minutes is searched.
 *
 * @param others what was found for each of the cutters, for their rest volumes
 */
export async function otherLadder(
  input: LadderInput,
  others: readonly CutterReach[],
  context: Context,
): Promise<Ladder> {
  const { reach, setup, part, engine, probe } = input;
  const candidates = await candidatesOf(input, others, context);
  const machinableAreaMm2 = areaOf(reach.areas, (f) => (reach.labels[f] < MACHINABLE_CLASSES ? 1 : 0));
  const { chosen, leftOut } = choose(candidates, input, machinableAreaMm2);
  const rest = await restWorks(
    chosen.map(({ candidate }) => inLadder(candidate)),
    { ...setup, ...reach, part, engine },
    context,
  );
  const rungs = chosen.map(({ candidate, minutes, finishedAreaMm2, leftAreaMm2 }, i): Rung => {
    const { cutter, reach: own, counts } = candidate;
    const before = chosen.slice(0, i).map(({ candidate: other }) => other.counts);
    return {
      cutter,
      reach: own,
      minutes,
      savesMinutes: null,
      rest: rest[i],
      reaches: (v) => counts[v] > 0,
      stickout: probe.atCorners(cutter, newCorners(reach, counts, before)),
      finishedAreaMm2,
      leftAreaMm2,
    };
  });
  const own = { counts: chosen[0].candidate.counts, border: chosen[0].candidate.reach.border };
  const tight = tightPatches({ ...reach, own }, setup.toleranceMm);
  return {
    machinableAreaMm2,
    rungs,
    leftOut,
    hasNoBall: true,
    finisher: rungs[0].cutter,
    last: candidates[candidates.length - 1].cutter,
    tight,
    leftover: await leftByAll(candidates, input, context),
    cutterFor: largestFor(candidates, tight),
  };
}

/** Machinable corners that a cutter reaches and none before it does. */
function newCorners(
  { surface, labels }: LadderInput['reach'],
  counts: Uint8Array,
  before: readonly Uint8Array[],
): number[] {
  const { triangles } = surface.mesh;
  const corners: number[] = [];
  for (let h = 0; h < triangles.length; h++) {
    const v = triangles[h];
    if (labels[(h / 3) | 0] >= MACHINABLE_CLASSES || counts[v] === 0) continue;
    if (!before.some((one) => one[v] > 0)) corners.push(h);
  }
  return corners;
}

/** Of each patch the largest cutter that reaches all of its vertices but those put in along its border. */
function largestFor(
  candidates: readonly Candidate[],
  { patchOf, surface }: TightPatches,
): Ladder['cutterFor'] {
  const { triangles } = surface.mesh;
  const facesOf = new Map<number, number[]>();
  patchOf.forEach((patch, f) => {
    const faces = facesOf.get(patch);
    if (faces) faces.push(f);
    else facesOf.set(patch, [f]);
  });
  const reachesAll = ({ counts }: Candidate, faces: readonly number[]): boolean =>
    faces.every((f) =>
      [3 * f, 3 * f + 1, 3 * f + 2].every((h) => triangles[h] >= counts.length || counts[triangles[h]] > 0),
    );
  return (patch) => candidates.find((one) => reachesAll(one, facesOf.get(patch) ?? []))?.cutter ?? null;
}

const inLadder = ({ cutter, counts, reach: { restVolumeMm3, maxGapMm } }: Candidate): LadderCutter => ({
  profile: profileOfCutter(cutter),
  counts,
  index: 0,
  restVolumeMm3,
  maxGapMm,
});

/** Large to small. */
async function candidatesOf(
  { reach, setup, part, engine }: LadderInput,
  others: readonly CutterReach[],
  context: Context,
): Promise<Candidate[]> {
  const { surface, labels, areas } = reach;
  const vertices = [...new Uint32Array(reach.counts.length).keys()];
  const questions = { surface, labels, at: cornersByVertex(surface.mesh), part };
  const scratch = new Float32Array(surface.mesh.triangles.length);
  const sorted = [...setup.cutters].sort((a, b) => b.DC - a.DC || b.RE - a.RE);
  const candidates: Candidate[] = [];
  for (const cutter of sorted) {
    const found = others.find(({ cutterId }) => cutterId === cutter.id);
    if (!found) throw new RangeError(`otherLadder: nothing is known of ${cutter.id}`);
    const probe = reachProbe(engine, offsetProfile(profileOfCutter(cutter), setup.stockMm));
    const reachRadii = await reachedVertices(vertices, questions, probe, context);
    const counts = mapTo(new Uint8Array(reachRadii.length), reachRadii, (radius) =>
      radius === Infinity ? 1 : 0,
    );
    const asked = {
      surface,
      labels,
      counts,
      reachRadii,
      isLinear: new Uint8Array(counts.length),
      radii: probe.radii,
      part,
    };
    const [border] = await reachBorders(asked, probe.engine, BORDER_ACCURACY_MM, context);
    const { totalMm2, share } = unreachedArea(asked, areas, border, scratch);
    const { restVolumeMm3, maxGapMm } = found;
    candidates.push({
      cutter,
      counts,
      reach: { unreachedAreaMm2: totalMm2, share, border, restVolumeMm3, maxGapMm },
    });
  }
  return candidates;
}

function choose(
  candidates: readonly Candidate[],
  { reach: { areas }, setup, times }: LadderInput,
  machinableAreaMm2: number,
): { readonly chosen: readonly Chosen[]; readonly leftOut: readonly LeftOutCutter[] } {
  const share = setup.firstCutterShare ?? FIRST_SHARE[setup.ladderRule];
  const most = candidates.reduce((least, { reach }) => Math.min(least, reach.unreachedAreaMm2), Infinity);
  const mayLeave = Math.max(most * (1 + 1e-9), (1 - share) * machinableAreaMm2);
  const first = candidates.findIndex(({ reach }) => reach.unreachedAreaMm2 <= mayLeave);
  const chosen: Chosen[] = [];
  const leftOut: LeftOutCutter[] = [];
  candidates.forEach((candidate, i) => {
    const { cutter, reach: own } = candidate;
    const out = { cutterId: cutter.id, extraMinutes: null };
    if (i < first) {
      const detail = 'it reaches less of the machinable surface than the first cutter must';
      leftOut.push({ ...out, reason: 'below-first-share', detail });
      return;
    }
    const before = chosen[chosen.length - 1];
    const left = before ? own.share.map((part, f) => Math.min(part, before.left[f])) : own.share;
    const leftAreaMm2 = areaOf(areas, (f) => left[f]);
    const finishedAreaMm2 = (before?.leftAreaMm2 ?? machinableAreaMm2) - leftAreaMm2;
    if (before && finishedAreaMm2 <= LEAST_GAIN * machinableAreaMm2) {
      const detail = 'it reaches nothing that the cutters before it do not';
      leftOut.push({ ...out, reason: 'reaches-nothing-more', detail });
      return;
    }
    const minutes = before
      ? times.after({ share: before.left }, cutter, { share: left })
      : times.first(cutter, own);
    chosen.push({ candidate, left, finishedAreaMm2, leftAreaMm2, minutes });
  });
  return { chosen, leftOut };
}

/** What none of the cutters reaches. */
async function leftByAll(
  candidates: readonly Candidate[],
  { reach, setup, part: smooth, engine }: LadderInput,
  context: Context,
): Promise<TightPatches> {
  let part = wholeSurface(reach.surface, reach.labels);
  const nothing = new Float64Array(reach.counts.length).fill(NaN);
  for (const { cutter, counts } of candidates) {
    const probe = reachProbe(engine, offsetProfile(profileOfCutter(cutter), setup.stockMm));
    const known = mapTo(new Int8Array(counts.length), counts, (count) => (count > 0 ? 1 : 0));
    part = await keepByReach(
      part,
      probe,
      {
        keep: 'unreached',
        known,
        reachRadii: nothing,
        isLinear: new Uint8Array(nothing.length),
        around: false,
        smooth,
        accuracyMm: BORDER_ACCURACY_MM,
      },
      context,
    );
  }
  const member = mapTo(new Int32Array(part.labels.length), part.labels, (label) =>
    label < MACHINABLE_CLASSES ? 0 : -1,
  );
  const ballReach = (v: number): number => (part.origin[v] < 0 ? NaN : reach.reachRadii[part.origin[v]]);
  return patchesOf({ surface: part.surface, member, ballReach }, setup.toleranceMm);
}

function areaOf(areas: Float64Array, share: (f: number) => number): number {
  const sum = runningSum();
  areas.forEach((area, f) => {
    const part = share(f);
    if (part > 0) sum.add(part * area);
  });
  return sum.value();
}

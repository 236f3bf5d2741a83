import { finding, type Finding } from '../core/findings.js';
import { compensatedSum } from '../core/sum.js';
import type { Plan, RegionWork } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import type { FinishingSurface } from '../time/finishing-surface.js';
import type { CutRegions } from '../time/pass-pieces.js';
import { facetMinutes, passTimes, type PassPlan, type PassTime } from '../time/pass-time.js';
import { stepWords, WORTH_SHARE } from '../write/step-words.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder } from './choose-ladder.js';
import type { FloorsAndWalls, Patch } from './floors-and-walls.js';
import {
  closestSteps,
  groundPlans,
  PASSES,
  pieceMinutes,
  setters,
  type PassGround,
  type PassGrounds,
} from './pass-grounds.js';
import type { PassLayout } from './pass-layout.js';
import { cutAfter, moveMinutes, restCutting, restPlan } from './ladder-times.js';

export interface RegionMinutesInput {
  readonly reach: ReachAnalysis;
  /** of that surface */
  readonly finishing: FinishingSurface;
  readonly regions: Pick<NumberedRegions, 'regionOfFace' | 'areas' | 'bounds'>;
  readonly setup: Setup;
  readonly layout: PassLayout;
  readonly grounds: PassGrounds;
  /** the same, less what the finishing cutter does not reach, and floors and walls that are done */
  readonly reached: FinishingSurface;
  readonly ladder: Pick<Ladder, 'rungs' | 'finisher' | 'done'>;
  readonly on: FloorsAndWalls;
}

/** Where the minutes go. */
export interface RegionMinutes {
  /** of each region by cutter and pass; they add up to those of the ladder */
  readonly byRegion: readonly (readonly RegionWork[])[];
  /** regions that each pass cuts apart, at smaller steps than the others */
  readonly cutApart: Readonly<Record<'waterline' | 'raster', Plan['passes']['waterline']['cutApart']>>;
  readonly findings: readonly Finding[];
}

/** The minutes of the ladder told by region, and which regions are cut apart. */
export function regionMinutes(input: RegionMinutesInput): RegionMinutes {
  const { ladder, regions } = input;
  const byRegion = Array.from(regions.areas, (): RegionWork[] => []);
  const note = (cutterId: string, pass: RegionWork['pass'], minutes: Float64Array): void =>
    minutes.forEach((own, r) => {
      if (own > 0) byRegion[r].push({ cutterId, pass, minutes: own });
    });
  const [waterline, raster] = PASSES.map((pass) => {
    const led = ledOver(input, input.grounds[pass]);
    note(ladder.finisher.id, pass, firstMinutes(input, led));
    return pass === 'constant' ? null : apartOf(input, led);
  });
  ladder.rungs.forEach(({ cutter, role, milled, rest }, i) => {
    for (const kind of ['floor', 'wall'] as const)
      note(cutter.id, `${kind}s`, millMinutes(milled, kind, input));
    if (rest !== null && role !== 'floors and walls') note(cutter.id, 'rest', restMinutes(input, i));
  });
  const all = byRegion.flat().reduce((sum, { minutes }) => sum + minutes, 0);
  return {
    byRegion,
    cutApart: { waterline, raster },
    findings: [
      ...apartFinding(input, 'waterline', waterline, all),
      ...apartFinding(input, 'raster', raster, all),
    ],
  };
}

/** Minutes of a flat or bull-nose cutter in each region. */
function millMinutes(
  times: Ladder['rungs'][number]['milled'],
  kind: Patch['kind'],
  { regions, on: { patches } }: RegionMinutesInput,
): Float64Array {
  const out = new Float64Array(regions.areas.length);
  for (const { patch, minutes } of times)
    if (patches[patch].kind === kind) out[patches[patch].region] += minutes;
  return out;
}

/** One pass of the finishing cutter, piece by piece. */
interface Led {
  readonly ground: PassGround;
  readonly plans: readonly PassPlan[];
  readonly times: readonly PassTime[];
}

function ledOver(
  { reached, setup, layout, ladder: { finisher } }: RegionMinutesInput,
  ground: PassGround,
): Led {
  const plans = groundPlans(ground, { layout, setup, cutter: finisher });
  return { ground, plans, times: passTimes(reached, ground.where, plans, ground.extents) };
}

/** Its minutes in each region. */
function firstMinutes({ reached, regions }: RegionMinutesInput, { ground, plans, times }: Led): Float64Array {
  if (plans.length === 0) return new Float64Array(regions.areas.length);
  const cutting = facetMinutes(reached, plans[0]);
  return sharedOut(cutting, reached.areas, ground.where, (piece) => times[piece].minutes, regions);
}

/** Minutes in each region of a cutter that follows those before it: of the finishing one, where mills have been. */
function restMinutes(
  { reach, finishing, regions, setup, layout, grounds, on, ladder: { rungs, done } }: RegionMinutesInput,
  rung: number,
): Float64Array {
  const { left } = rungs[rung - 1],
    after = rungs[rung].share;
  const patches = cutAfter(
    reach.surface,
    left,
    after,
    (f) => rungs[rung].role === 'rest' || done[on.patchOf[f]],
  );
  const { cutter } = rungs[rung],
    plan = restPlan(cutter, setup, layout);
  const areas = finishing.areas.map((area, f) => area * Math.max(0, left.larger[f] - after[f]));
  const cutting = restCutting(
    { ...finishing, areas },
    plan,
    closestSteps(grounds, { layout, setup, cutter }),
  );
  const inPatch = new Float64Array(patches.count),
    minutes = new Float64Array(patches.count);
  for (const f of patches.facets) {
    inPatch[patches.regionOf[f]] += areas[f];
    minutes[patches.regionOf[f]] += cutting[f];
  }
  const ofPatch = (patch: number): number =>
    (minutes[patch] + moveMinutes(inPatch[patch], plan, cutter, setup)) * plan.machine.timeFactor;
  return sharedOut(cutting, areas, patches, ofPatch, regions);
}

/** The time of each patch, shared among the regions it lies in by the cutting on their facets. */
function sharedOut(
  cutting: Float64Array,
  areasMm2: Float64Array,
  patches: CutRegions,
  minutesOf: (patch: number) => number,
  { regionOfFace, areas }: RegionMinutesInput['regions'],
): Float64Array {
  const out = new Float64Array(areas.length);
  pieceMinutes(cutting, areasMm2, patches, minutesOf, regionOfFace, out);
  return out;
}

/** Regions that are cut apart so that others take larger steps, and what that saves; null: nothing. */
function apartOf(
  { reached, regions, layout, setup, ladder: { finisher } }: RegionMinutesInput,
  { ground, times }: Led,
): RegionMinutes['cutApart']['waterline'] {
  const { strategy, where, uncut } = ground,
    led = { layout, setup, cutter: finisher };
  const least = ground.gradients.reduce((low, gradient) => Math.min(low, gradient), Infinity),
    one = { strategy, gradients: Float64Array.of(least) };
  const together = { ...one, where: { regionOf: where.regionOf.map((piece) => Math.min(piece, 0)) } };
  const [found] = setters({ finishing: reached, regionOfFace: regions.regionOfFace, ...led }, together);
  if (!found) return null;
  const [plan] = groundPlans(one, led);
  const minutesOf = (some: readonly PassTime[]): number => compensatedSum(some.map(({ minutes }) => minutes));
  const savesMinutes = minutesOf(passTimes(reached, uncut.where, plan, uncut.extents)) - minutesOf(times);
  if (!(savesMinutes > 0)) return null;
  const { stepMm, restStepMm, regionIds, restIds } = found;
  const areaOf = (some: readonly number[]): number => some.reduce((sum, r) => sum + regions.areas[r], 0);
  return {
    regionIds: [...regionIds],
    areaMm2: areaOf(regionIds),
    restAreaMm2: areaOf(restIds),
    stepMm,
    restStepMm,
    savesMinutes,
  };
}

function apartFinding(
  { regions: { bounds }, ladder: { finisher } }: RegionMinutesInput,
  pass: 'waterline' | 'raster',
  apart: RegionMinutes['cutApart']['waterline'],
  allMinutes: number,
): Finding[] {
  if (apart === null || apart.savesMinutes < WORTH_SHARE * allMinutes) return [];
  const at = (k: number): number => {
    const o = 6 * apart.regionIds[0] + k;
    return (bounds[o] + bounds[o + 3]) / 2;
  };
  const message = stepWords(pass, finisher.id, apart);
  return [finding('minutes.step', 'info', message, 1, [at(0), at(1), at(2)])];
}

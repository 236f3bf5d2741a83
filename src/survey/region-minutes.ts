import { finding, type Finding } from '../core/findings.js';
import type { Plan, RegionWork } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { passMask, type FinishingSurface, type Strategy } from '../time/finishing-surface.js';
import type { CutRegions } from '../time/pass-pieces.js';
import { LEVEL_SINE } from '../time/pass-frame.js';
import { leastGradients, sideGradient, stepdownAt, stepoverAt } from '../time/pass-steps.js';
import { facetMinutes, passTimes } from '../time/pass-time.js';
import { stepSetter } from '../time/step-setters.js';
import { stepWords, WORTH_SHARE } from '../write/step-words.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder } from './choose-ladder.js';
import type { FloorsAndWalls, Patch } from './floors-and-walls.js';
import { borderGradient, bothPasses, finishingFeed, regionsOf, type PassLayout } from './finishing-passes.js';
import { cutAfter, moveMinutes, restPlan } from './ladder-times.js';

export interface RegionMinutesInput {
  readonly reach: ReachAnalysis;
  /** of that surface */
  readonly finishing: FinishingSurface;
  readonly regions: Pick<NumberedRegions, 'regionOfFace' | 'areas' | 'bounds'>;
  readonly setup: Setup;
  readonly layout: PassLayout;
  /** the same, less what the finishing cutter does not reach, and floors and walls that are done */
  readonly reached: FinishingSurface;
  readonly ladder: Pick<Ladder, 'rungs' | 'finisher' | 'done'>;
  readonly on: FloorsAndWalls;
}

/** Where the minutes go. */
export interface RegionMinutes {
  /** of each region by cutter and pass; they add up to those of the ladder */
  readonly byRegion: readonly (readonly RegionWork[])[];
  /** regions for whose sake a pass takes smaller steps everywhere */
  readonly stepSetBy: Readonly<Record<'waterline' | 'raster', Plan['passes']['waterline']['stepSetBy']>>;
  readonly findings: readonly Finding[];
}

/** The minutes of the ladder told by region, and which regions make the others take longer. */
export function regionMinutes(input: RegionMinutesInput): RegionMinutes {
  const { ladder, regions } = input;
  const byRegion = Array.from(regions.areas, (): RegionWork[] => []);
  const note = (cutterId: string, pass: RegionWork['pass'], minutes: Float64Array): void =>
    minutes.forEach((own, r) => {
      if (own > 0) byRegion[r].push({ cutterId, pass, minutes: own });
    });
  const setters = (['waterline', 'raster'] as const).map((pass, i) => {
    const { strategy, spacingMm, steepestRad } = bothPasses(input.layout, ladder.finisher)[i];
    const minutes = firstMinutes(input, strategy, spacingMm, steepestRad);
    note(ladder.finisher.id, pass, minutes);
    return setterOf(input, strategy, spacingMm, minutes);
  });
  ladder.rungs.forEach(({ cutter, role, milled }, i) => {
    for (const kind of ['floor', 'wall'] as const)
      note(cutter.id, `${kind}s`, millMinutes(milled, kind, input));
    if (i > 0 && role !== 'floors and walls') note(cutter.id, 'rest', restMinutes(input, i));
  });
  const [waterline, raster] = setters;
  const all = byRegion.flat().reduce((sum, { minutes }) => sum + minutes, 0);
  return {
    byRegion,
    stepSetBy: { waterline, raster },
    findings: [
      ...setterFinding(input, 'waterline', waterline, all),
      ...setterFinding(input, 'raster', raster, all),
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

/** Minutes of one pass of the finishing cutter in each region. */
function firstMinutes(
  { reach, reached, regions, setup, on, ladder: { finisher } }: RegionMinutesInput,
  strategy: Strategy,
  spacingMm: number,
  steepestRad: number,
): Float64Array {
  const patches = regionsOf(reach.surface, passMask(reached.classOf, strategy.kind), on.patchOf);
  const { feedMmPerMin } = finishingFeed(setup, finisher, spacingMm, steepestRad);
  const plan = { strategy, spacingMm, cutter: finisher, feedMmPerMin, machine: setup.machine };
  const times = passTimes(reached, patches, plan);
  return sharedOut(facetMinutes(reached, plan), patches, (patch) => times[patch].minutes, regions);
}

/** Minutes in each region of a cutter that follows those before it: of the finishing one, where mills have been. */
function restMinutes(
  { reach, finishing, regions, setup, layout, on, ladder: { rungs, done } }: RegionMinutesInput,
  rung: number,
): Float64Array {
  const { left } = rungs[rung - 1],
    before = left.share,
    after = rungs[rung].left.share;
  const patches = cutAfter(
    reach.surface,
    left,
    after,
    (f) => rungs[rung].role === 'rest' || done[on.patchOf[f]],
  );
  const plan = restPlan(rungs[rung].cutter, setup, layout);
  const areas = finishing.areas.map((area, f) => area * Math.max(0, before[f] - after[f]));
  const cutting = facetMinutes({ ...finishing, areas }, plan);
  const inPatch = new Float64Array(patches.count),
    minutes = new Float64Array(patches.count);
  for (const f of patches.facets) {
    inPatch[patches.regionOf[f]] += areas[f];
    minutes[patches.regionOf[f]] += cutting[f];
  }
  const ofPatch = (patch: number): number =>
    (minutes[patch] + moveMinutes(inPatch[patch], plan, rungs[rung].cutter, setup)) * plan.machine.timeFactor;
  return sharedOut(cutting, patches, ofPatch, regions);
}

/** The time of each patch, shared among the regions it lies in by the cutting on their facets. */
function sharedOut(
  cutting: Float64Array,
  patches: CutRegions,
  minutesOf: (patch: number) => number,
  { regionOfFace, areas }: RegionMinutesInput['regions'],
): Float64Array {
  const whole = new Float64Array(patches.count),
    out = new Float64Array(areas.length);
  const isCut = (f: number): boolean => patches.regionOf[f] >= 0 && cutting[f] > 0;
  for (let f = 0; f < cutting.length; f++) if (isCut(f)) whole[patches.regionOf[f]] += cutting[f];
  const factor = whole.map((own, patch) => (own > 0 ? minutesOf(patch) / own : 0));
  for (let f = 0; f < cutting.length; f++)
    if (isCut(f)) out[regionOfFace[f]] += cutting[f] * factor[patches.regionOf[f]];
  return out;
}

/** Regions to cut apart so that a pass may take larger steps elsewhere; null: nothing is gained, or steps are given. */
function setterOf(
  { reached, finishing, regions, layout, ladder: { finisher } }: RegionMinutesInput,
  strategy: Strategy,
  spacingMm: number,
  minutes: Float64Array,
): RegionMinutes['stepSetBy']['waterline'] {
  const mask = passMask(reached.classOf, strategy.kind);
  const groupOf = regions.regionOfFace.map((region, f) => (mask[f] ? region : -1));
  const least = leastGradients(finishing, groupOf, minutes.length, strategy);
  const isRaster = strategy.kind === 'raster';
  const { splitRad, splitEndRad, steps } = layout;
  const cut = [...minutes.keys()].filter((r) => minutes[r] > 0);
  const grounds = cut.map((r) => {
    const gradient = sideGradient(
      least[r],
      isRaster ? borderGradient(splitEndRad) : Math.max(LEVEL_SINE, Math.sin(splitRad)),
    );
    const ownStepMm = (isRaster ? stepoverAt : stepdownAt)(steps, finisher, gradient);
    // Facets that were cut anew may be told a little flatter.
    return { minutes: minutes[r], ownStepMm: Math.max(spacingMm, ownStepMm) };
  });
  const found = stepSetter(grounds, spacingMm);
  if (found === null) return null;
  const regionIds = found.apart.map((i) => cut[i]);
  return {
    regionIds,
    areaMm2: regionIds.reduce((sum, r) => sum + regions.areas[r], 0),
    restAreaMm2: cut.reduce((sum, r) => sum + (regionIds.includes(r) ? 0 : regions.areas[r]), 0),
    restStepMm: found.restStepMm,
    savesMinutes: found.savesMinutes,
  };
}

function setterFinding(
  { regions: { bounds }, layout, ladder: { finisher } }: RegionMinutesInput,
  pass: 'waterline' | 'raster',
  setter: RegionMinutes['stepSetBy']['waterline'],
  allMinutes: number,
): Finding[] {
  if (setter === null || setter.savesMinutes < WORTH_SHARE * allMinutes) return [];
  const { spacingMm } = bothPasses(layout, finisher)[pass === 'raster' ? 1 : 0];
  const at = (k: number): number => {
    const o = 6 * setter.regionIds[0] + k;
    return (bounds[o] + bounds[o + 3]) / 2;
  };
  const message = stepWords(pass, finisher.id, spacingMm, setter);
  return [finding('minutes.step', 'info', message, 1, [at(0), at(1), at(2)])];
}

import { CLASSES, type SurfaceClass } from '../core/classes.js';
import type { Finding } from '../core/findings.js';
import { runningSum } from '../core/sum.js';
import { DEG_PER_RAD } from '../core/units.js';
import type { PreparedMesh } from '../mesh/prepare.js';
import type { Source, Surface } from '../mesh/types.js';
import { facetNormals } from '../mesh/facet-normals.js';
import { ringsOfRegion, type TracedBorders } from '../outlines/trace-rings.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../setup.js';
import { machineFindings } from '../time/machine.js';
import { classOfLabel } from '../zones/mark-away.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { TightPatches } from '../zones/tight-patches.js';
import type { ZonedSurface } from '../zones/build-zones.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { CAUTIONS } from './cautions.js';
import type { Ladder } from './choose-ladder.js';
import type { FinishingPasses } from './finishing-passes.js';
import { finishingFeed, finishingSurface, maskedTime, passSteps, restMask } from './finishing-passes.js';

export interface PlanInput {
  readonly source: Source;
  readonly setup: Setup;
  readonly prepared: PreparedMesh;
  readonly zoned: ZonedSurface;
  readonly areas: Float64Array;
  readonly regions: NumberedRegions;
  readonly borders: TracedBorders;
  readonly reach: ReachAnalysis;
  readonly ladder: Ladder;
  readonly passes: FinishingPasses;
  readonly splitDeg: number;
}

/** Puts all results into the plan's form. */
export function assemblePlan(input: PlanInput): Plan {
  const { source, setup, prepared, zoned, passes, reach, ladder, splitDeg } = input;
  const rungs = ladderRungs(input);
  const time = totalTime(setup, rungs);
  return {
    version: 1,
    source,
    setup: { ...setup, splitDeg, placement: rowByRow(prepared.matrix) },
    mesh: prepared.health as Plan['mesh'],
    findings: uniqueFindings([
      ...prepared.findings, ...zoned.findings, ...input.borders.findings, ...reach.findings, ...passes.findings,
      ...machineFindings(setup.machine), ...cutterFindings(ladder), ...leftoverFindings(ladder),
    ]),
    classes: classTotals(zoned.surface, zoned.labels, input.areas, input.regions),
    passes: passes.plan,
    regions: planRegions(input),
    reach: {
      toleranceMm: setup.toleranceMm,
      smallestRadiusMm: smallestRadius(ladder),
      byRadius: reach.byRadius.map(({ radiusMm, unreachedAreaMm2, restVolumeMm3, maxGapMm }) => (
        { radiusMm, unreachedAreaMm2, restVolumeMm3, maxGapMm })),
      byCutter: [],
      tightRegions: planPatches(ladder.tight, prepared, ladder, setup.stockMm),
      leftover: planPatches(ladder.leftover, prepared, ladder, setup.stockMm),
    },
    ladder: rungs,
    split: {
      angleDeg: splitDeg, overlapDeg: setup.overlapDeg,
      equalScallopDeg: Math.atan2(passes.plan.waterline.spacingMm, passes.plan.raster.spacingMm) * DEG_PER_RAD,
      fastestDeg: null, curve: [],
    },
    time,
    cautions: [...CAUTIONS],
  };
}

/** A column-by-column matrix, row by row. */
const rowByRow = (m: readonly number[]): number[] => m.map((_, i) => m[4 * (i % 4) + Math.floor(i / 4)]);

function uniqueFindings(findings: readonly Finding[]): Plan['findings'] {
  const seen = new Set<string>();
  return findings.filter(({ code, message }) => {
    const key = `${code} ${message}`;
    return !seen.has(key) && seen.add(key);
  }).map(({ whereMm, ...rest }) => ({ ...rest, whereMm: whereMm === null ? null : [...whereMm] }));
}

function classTotals(
  surface: Surface, labels: Uint8Array, areas: Float64Array, regions: NumberedRegions,
): Plan['classes'] {
  const { normals } = facetNormals(surface.mesh);
  const area = CLASSES.map(() => runningSum()), plan = CLASSES.map(() => runningSum());
  for (let f = 0; f < areas.length; f++) {
    const index = classOfLabel(labels[f]);
    area[index].add(areas[f]);
    plan[index].add(areas[f] * Math.abs(normals[3 * f + 2]));
  }
  const total = (index: number): Plan['classes'][SurfaceClass] => ({
    areaMm2: area[index].value(), planAreaMm2: plan[index].value(),
    regions: regions.classOf.reduce((count, cls) => count + (cls === index ? 1 : 0), 0),
  });
  return {
    level: total(0), shallow: total(1), overlap: total(2), steep: total(3), undercut: total(4), hidden: total(5),
    underside: total(6), outside: total(7),
  };
}

function planRegions({ regions, borders }: PlanInput): Plan['regions'] {
  return Array.from(regions.areas, (areaMm2, r) => {
    const b = [...regions.bounds.subarray(6 * r, 6 * r + 6)];
    return {
      id: r, class: CLASSES[regions.classOf[r]], areaMm2,
      boundsMm: { min: [b[0], b[1], b[2]], max: [b[3], b[4], b[5]] },
      rings: ringsOfRegion(borders.outlines, r).map((ring) => (
        Array.from({ length: ring.length / 2 }, (_, i): [number, number] => [ring[2 * i], ring[2 * i + 1]]))),
    };
  });
}

function planPatches(
  { patches }: TightPatches, prepared: PreparedMesh, ladder: Ladder, stockMm: number,
): Plan['reach']['tightRegions'] {
  const top = prepared.health.boundsMm.max[2];
  return patches.map(({ areaMm2, centreMm, boundsMm, reachRadiusMm }, id) => {
    const radius = Math.max(0, reachRadiusMm - stockMm);
    return {
      id, areaMm2, centreMm: [...centreMm],
      reachRadiusMm: radius === Infinity ? 'unlimited' : radius,
      boundsMm: { min: triple(boundsMm.min), max: triple(boundsMm.max) },
      depthMm: Math.max(0, top - boundsMm.min[2]),
      cutterId: ladder.balls.findLast(({ RE }) => RE <= radius)?.id ?? null,
    };
  });
}

const triple = (xs: readonly number[]): [number, number, number] => [xs[0], xs[1], xs[2]];

/** The ball radius that the tightest place needs; null if the finishing cutter reaches everything. */
function smallestRadius({ tight, leftover, finisher }: Ladder): number | 'unlimited' | null {
  const radii = [...tight.patches, ...leftover.patches].map(({ reachRadiusMm }) => reachRadiusMm);
  return radii.length === 0 ? finisher.RE : Math.min(...radii);
}

/** Each cutter: the first over the whole surface in both passes, the others over what is left, pass beside pass. */
function ladderRungs({ reach, ladder, setup, passes }: PlanInput): Plan['ladder'] {
  const finishing = finishingSurface(reach.surface, reach.labels, reach.areas);
  return ladder.rungs.map(({ cutter, reach: own }, i) => {
    const before = i === 0 ? ladder.machinableAreaMm2 : ladder.rungs[i - 1].reach.unreachedAreaMm2;
    return {
      cutterId: cutter.id, DC: cutter.DC, RE: cutter.RE, stage: 'finish',
      finishedAreaMm2: Math.max(0, before - own.unreachedAreaMm2), unreachedAreaMm2: own.unreachedAreaMm2,
      minutes: i === 0 ? passes.plan.waterline.minutes + passes.plan.raster.minutes : restMinutes(i),
      stickoutMm: null,
    };
  });

  function restMinutes(i: number): number {
    const { cutter } = ladder.rungs[i];
    const { share } = ladder.rungs[i - 1].reach;
    const mask = restMask(reach.labels, share);
    const spacingMm = passSteps(setup, cutter).stepoverMm;
    const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, Math.PI / 2);
    const rest = { ...finishing, areas: reach.areas.map((area, f) => area * share[f]) };
    return maskedTime(reach.surface, rest, mask, {
      strategy: { kind: 'following' }, spacingMm, cutter, feedMmPerMin, machine: setup.machine,
    }).minutes;
  }
}

function totalTime({ machine }: Setup, rungs: Plan['ladder']): Plan['time'] {
  const finishingMinutes = rungs.reduce((sum, { minutes }) => sum + minutes, 0);
  const toolChangeMinutes = (rungs.length * machine.toolChangeSeconds) / 60;
  const totalMinutes = finishingMinutes + toolChangeMinutes;
  return {
    finishingMinutes, toolChangeMinutes, totalMinutes, cost: (totalMinutes * machine.hourlyRate) / 60,
    assumptions: [
      'Finishing only: roughing, rest-roughing and semi-finishing are not counted.',
      'Lengths follow from areas (co-area formula), corrected to the way of the cutter\'s centre.',
      'A planning estimate, about 25 % either way until calibrated with the shop\'s own jobs.',
    ],
  };
}

function cutterFindings({ rungs }: Ladder): Finding[] {
  if (!rungs.some(({ cutter }) => cutter.placeholder)) return [];
  return [{
    code: 'cutters.placeholder', severity: 'warning', count: 1, whereMm: null,
    message: 'The cutters are placeholders of ordinary proportion: give your own catalogue.',
  }];
}

function leftoverFindings({ leftover, balls }: Ladder): Finding[] {
  const { patches } = leftover;
  if (patches.length === 0) return [];
  const area = patches.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);
  return [{
    code: 'reach.leftover', severity: 'warning', count: patches.length, whereMm: patches[0].centreMm,
    message: `No cutter in the catalogue reaches ${Number(area.toPrecision(3))} mm² of the machinable surface `
      + `(smallest: ${balls[0].id}): a smaller cutter, EDM or hand work.`,
  }];
}


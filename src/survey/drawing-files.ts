import type { SurfaceClass } from '../core/classes.js';
import type { Plan } from '../plan/plan.js';
import { overlapWords } from '../write/overlap-words.js';
import { planDrawing, type Paper, type PlanDrawing } from '../write/plan-drawing.js';
import { shown } from '../write/report-numbers.js';
import { TEXT } from '../write/report-text.js';

/** The plan as a drawing for people, on one size of paper. */
export function drawingFile(plan: Plan, paper: Paper): string {
  return planDrawing(drawingOf(plan), paper);
}

function drawingOf(plan: Plan): PlanDrawing {
  const { source, setup, mesh, reach, passes } = plan;
  return {
    part: source.name,
    fileDate: setup.partDate,
    boundsMm: mesh.boundsMm,
    setUp: setUpLines(plan),
    legend: legendWords(plan),
    regions: plan.regions.map((region) => ({
      id: region.id,
      cls: region.class,
      rings: region.rings.map((ring) => Float64Array.from(ring.flat())),
    })),
    tightRegions: reach.tightRegions,
    tightFor: passes.cutterId,
  };
}

function setUpLines({ setup, split, ladder, reach }: Plan): string[] {
  const axis = setup.axis.map((value) => Number(value.toFixed(3))).join(', ');
  return [
    `Tool axis in the file ${axis}`,
    `Split ${shown(split.angleDeg, 1)}°, overlap ${overlapWords({ setup, split }, '°').overlap}`,
    `Tolerance ${reach.toleranceMm} mm, allowance ${setup.stockMm} mm`,
    `First cutter ${ladder[0].cutterId}`,
  ];
}

function legendWords(plan: Plan): Record<SurfaceClass, string> {
  const { band, end } = overlapWords(plan, '°');
  return TEXT.report.classWords(`${shown(plan.split.angleDeg, 1)}°`, band, end);
}

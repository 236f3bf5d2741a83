import type { SurfaceClass } from '../core/classes.js';
import type { Plan } from '../plan/plan.js';
import { planDrawing, type Paper, type PlanDrawing } from '../write/plan-drawing.js';
import { overlapWords } from './outline-files.js';

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
    `Split ${Number(split.angleDeg.toFixed(1))}°, overlap ${setup.overlapMm === null ? `${split.overlapDeg}°` : `${setup.overlapMm} mm`}`,
    `Tolerance ${reach.toleranceMm} mm, allowance ${setup.stockMm} mm`,
    `First cutter ${ladder[0].cutterId}`,
  ];
}

function legendWords(plan: Plan): Partial<Record<SurfaceClass, string>> {
  const { split, setup } = plan;
  const at = Number(split.angleDeg.toFixed(1)),
    end = Number(Math.min(90, split.angleDeg + split.overlapDeg).toFixed(1));
  const byDistance = setup.overlapMm !== null;
  return {
    level: 'level, up to 0.5°',
    shallow: `shallow, below ${at}°`,
    overlap: byDistance ? `overlap, ${overlapWords(plan)}` : `overlap, ${at}° to ${end}°`,
    steep: byDistance ? `steep, above ${at}°` : `steep, above ${end}°`,
    undercut: 'undercut, leans over',
    hidden: 'hidden, solid above',
    underside: 'underside',
    outside: 'outside, vertical',
  };
}

import { CLASSES, type SurfaceClass } from '../core/classes.js';
import type { Finding } from '../core/findings.js';
import type { Source } from '../core/source.js';
import { runningSum } from '../core/sum.js';
import { ringArea } from '../outlines/ring-measures.js';
import type { TracedBorders } from '../outlines/trace-rings.js';
import type { PreparedMesh } from '../part/prepare.js';
import type { Plan, SurfaceAnswers } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import type { ZonedSurface } from '../zones/build-zones.js';
import { classOfLabel } from '../zones/mark-away.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import { holeFindings } from './hole-list.js';
import { releaseFindings } from './release.js';
import { givenBlock } from './survey-block.js';
import { wayUpFindings } from './ways-up.js';

export interface SurfaceInput {
  readonly source: Source;
  readonly setup: Setup;
  readonly prepared: PreparedMesh;
  readonly waysUp: Plan['waysUp'];
  readonly release: Plan['release'];
  readonly holes: Plan['holes'];
  readonly zoned: ZonedSurface;
  readonly areas: Float64Array;
  readonly regions: NumberedRegions;
  readonly borders: TracedBorders;
  readonly splitDeg: number;
}

/** Puts what is final once the surface is classed into the plan's form. */
export function surfaceAnswers(input: SurfaceInput): SurfaceAnswers {
  const { source, setup, prepared, waysUp, release, holes, splitDeg } = input;
  return {
    source,
    setup: {
      ...setup,
      axis: waysUp.ways[waysUp.surveyed].axis,
      splitDeg,
      placement: rowByRow(prepared.matrix),
      block: givenBlock(setup),
    },
    mesh: prepared.health as Plan['mesh'],
    waysUp,
    release,
    holes,
    findings: uniqueFindings([
      ...prepared.findings,
      ...wayUpFindings(waysUp),
      ...releaseFindings(release),
      ...holeFindings(holes, setup),
      ...input.zoned.findings,
      ...input.borders.findings,
    ]),
    classes: classTotals(input),
    split: { angleDeg: splitDeg, overlapDeg: setup.overlapDeg },
  };
}

/** A column-by-column matrix, row by row. */
const rowByRow = (m: readonly number[]): number[] => m.map((_, i) => m[4 * (i % 4) + Math.floor(i / 4)]);

export function uniqueFindings(findings: Plan['findings'] | readonly Finding[]): Plan['findings'] {
  const seen = new Set<string>();
  return findings
    .filter(({ code, message }) => {
      const key = `${code} ${message}`;
      return !seen.has(key) && seen.add(key);
    })
    .map(({ whereMm, ...rest }) => ({ ...rest, whereMm: whereMm === null ? null : [...whereMm] }));
}

function classTotals({
  zoned: { labels },
  areas,
  regions,
  borders: { outlines },
}: SurfaceInput): Plan['classes'] {
  const area = CLASSES.map(() => runningSum()),
    plan = CLASSES.map(() => runningSum());
  for (let f = 0; f < areas.length; f++) {
    area[classOfLabel(labels[f])].add(areas[f]);
  }
  outlines.regionOfRing.forEach((region, r) => {
    plan[regions.classOf[region]].add(
      ringArea(outlines.points.subarray(2 * outlines.start[r], 2 * outlines.start[r + 1])),
    );
  });
  const total = (index: number): Plan['classes'][SurfaceClass] => ({
    areaMm2: area[index].value(),
    planAreaMm2: plan[index].value(),
    regions: regions.classOf.reduce((count, cls) => count + (cls === index ? 1 : 0), 0),
  });
  return {
    level: total(0),
    shallow: total(1),
    overlap: total(2),
    steep: total(3),
    undercut: total(4),
    hidden: total(5),
    underside: total(6),
    outside: total(7),
  };
}

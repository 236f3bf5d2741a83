import { beforeAll, describe, expect, test } from 'vitest';
import { loadClipper } from '../../src/outlines/clipper.js';
import { readSvgOutlines } from '../../src/read/read-svg.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { summaryText } from '../../src/write/summary.js';
import { surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';

type Survey = Awaited<ReturnType<typeof surveyShape>>;
const CUTTERS = { version: 1 as const, cutters: [{ id: 'B6', DC: 6, RE: 3, APMX: 12, LU: 60, NOF: 2 }] };
const BASE: SetupFile = { cutters: CUTTERS, radiiMm: [3], includeOutside: true };
const text = ({ files }: Survey, name: string): string =>
  String(files.get(name)).replaceAll(/<span class="whole">(.*?)<\/span>/g, '$1');

// A cylinder R10 lying level: 2 mm along its surface from 45 degrees turn the normal by 2 / 10 rad.
describe('overlap of 2 mm on a lying cylinder R10', () => {
  const END = Math.PI / 4 + 0.2;
  const cylinder = shapes.turned(shapes.lyingCylinder(10, 40, 160), 90);
  let along: Survey, byAngle: Survey;
  beforeAll(async () => {
    // Passes along the axis step down its flanks: the steepest place sets the step.
    const flat = { ...BASE, rasterDirectionDeg: axisDeg(cylinder) };
    along = await surveyShape(cylinder, { ...flat, overlapMm: 2 });
    byAngle = await surveyShape(cylinder, { ...flat, overlapDeg: (0.2 * 180) / Math.PI });
  }, 600_000);

  test('two strips 2 wide overlap', () => {
    expect(Math.abs(along.plan.classes.overlap.areaMm2 / (2 * 2 * 40) - 1)).toBeLessThan(0.01);
  });

  // Passes x = k s on a plane of wall angle t, s across the fall: sl = s / cos t, so s = sl cos t; sl for R3,
  // h 0.005 is 0.346266 (circle geometry; Choi & Jerard 1998).
  test('the step keeps the asked scallop down to where the raster really ends', () => {
    const { spacingMm, maxScallopMm } = along.plan.passes.raster;
    expect(Math.abs(spacingMm / (0.346266 * Math.cos(END)) - 1)).toBeLessThan(0.02);
    // The step is that of planes; on a convex section h = sl² / 8 (1 / R + 1 / rho), Lin & Koren 1996: 1.3
    // times here.
    expect(Math.abs(maxScallopMm! / (1.3 * 0.005) - 1)).toBeLessThan(0.02);
  });

  test('the split curve counts the band twice, as an angle that covers as much would', () => {
    const at = ({ plan }: Survey): number =>
      plan.split.curve.find(({ angleDeg }) => angleDeg === 45)!.minutes;
    expect(Math.abs(at(along) / at(byAngle) - 1)).toBeLessThan(0.02);
  });

  test('every text says that it is a distance', () => {
    const summary = summaryText(along.plan, { paint: (_style, words) => words, written: null });
    expect(summary).toContain('45 deg, overlap 2 mm along the surface');
    expect(summary).toContain('to 2 mm beyond 45 deg');
    const report = text(along, 'report.html');
    expect(report).toContain('45° + 2 mm along the surface');
    expect(report).toContain('overlap, 2 mm from 45° on');
    expect(report).toContain('steep, above 2 mm beyond 45°');
    for (const words of [summary, report]) {
      expect(words).not.toMatch(/overlap 0 deg|overlap 0°|45° \+ 0°|45° to 45°|up to 45/);
    }
    expect(text(along, 'outlines.svg')).toContain(
      'split of 45 degrees with 2 mm along the surface of overlap',
    );
    expect(text(along, 'drawing-a4.svg')).toContain('Split 45°, overlap 2 mm');
    expect(text(byAngle, 'report.html')).toContain('45° + 11.5°');
  });
});

/** Direction of the cylinder's axis in plan, degrees: its longer side. */
function axisDeg(corners: Float64Array): number {
  const extent = (i: number): number => {
    const values = corners.filter((_, at) => at % 3 === i);
    return Math.max(...values) - Math.min(...values);
  };
  return extent(0) > extent(1) ? 0 : 90;
}

// Two level plates 20 x 20 joined by a bridge 4 x 0.9, as one block 10 high that stands on its back in the
// file.
describe('necks narrower than two stepovers of 0.5', () => {
  const plates = extrude(
    [
      [0, 0],
      [20, 0],
      [20, 9.55],
      [24, 9.55],
      [24, 0],
      [44, 0],
      [44, 20],
      [24, 20],
      [24, 10.45],
      [20, 10.45],
      [20, 20],
      [0, 20],
    ],
    0,
    10,
  );
  const raster = async (more: SetupFile) => {
    const survey = await surveyShape(plates, {
      ...BASE,
      includeOutside: false,
      axis: '+y',
      stepoverMm: 0.5,
      stepdownMm: 0.2,
      ...more,
    });
    const rings = readSvgOutlines(text(survey, 'outlines.svg'), await loadClipper(), {
      where: 'o',
      only: 'pass-raster',
      toleranceMm: 0.002,
    });
    return { rings, codes: survey.plan.findings.filter(({ code }) => code === 'outlines.neck-opened') };
  };

  test('the bridge parts and is a finding with its area; without the option it stays', async () => {
    const opened = await raster({ neckStepovers: 2 });
    expect(opened.rings).toHaveLength(2);
    expect(opened.codes).toHaveLength(1);
    // The bridge, and what a disc of 0.5 leaves of the corners: (1 - pi/4) r² each, 12 of them.
    const moved = Number(/: ([\d.]+) mm²/.exec(opened.codes[0].message)![1]);
    expect(moved).toBeGreaterThan(4 * 0.9 - 2 * 0.5 * 0.9);
    expect(moved).toBeLessThan(4 * 0.9 + 12 * (1 - Math.PI / 4) * 0.25);
    const kept = await raster({});
    expect(kept.rings).toHaveLength(1);
    expect(kept.codes).toEqual([]);
  }, 600_000);
});

test("the title block carries the day of the part's file, and none where it is not known", async () => {
  const dated = await surveyShape(shapes.rampBlock(30), { ...BASE, partDate: '2026-03-01' });
  const undated = await surveyShape(shapes.rampBlock(30), BASE);
  for (const name of ['drawing-a4.svg', 'drawing-a3.svg']) {
    expect(text(dated, name)).toContain('2026-03-01');
    expect(text(undated, name)).not.toMatch(/\d{4}-\d{2}-\d{2}/);
  }
}, 600_000);

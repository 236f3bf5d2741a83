import { beforeAll, describe, expect, test } from 'vitest';
import { CLASSES } from '../../src/core/classes.js';
import type { Plan } from '../../src/plan/plan.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const pocket = (segments: number, filletFacets: number): Float64Array =>
  shapes.turned(shapes.roundPocket({ segments, filletFacets, side: 46 }), 4.9);
/** Chords of the wall stay 0.011 mm off it: within the tolerance of 0.02 mm, as an export should be. */
const CORNERS = pocket(96, 12);
/** Enough to choose from: smaller and larger than the fillet, and of its very radius. */
const ball = (DC: number) => ({
  id: `B${DC}`,
  DC,
  RE: DC / 2,
  APMX: DC,
  LU: 6 * DC,
  DN: DC - 0.2,
  NOF: 2,
  holder: [{ diameterMm: 22, lengthMm: 40 }],
});
const OPTIONS: SetupFile = {
  unit: 'mm',
  radiiMm: [2, 4],
  cutters: { version: 1, cutters: [4, 6, 8].map(ball) },
  ...FINISHING_ALONE,
};

interface Guise {
  readonly name: string;
  readonly corners: Float64Array;
  readonly options?: SetupFile;
  readonly share: number;
}
const GUISES: readonly Guise[] = [
  { name: 'rotated about Z by 37.3 degrees', corners: shapes.turned(CORNERS, 37.3), share: 0.005 },
  { name: 'moved by 10 m', corners: shapes.moved(CORNERS, [10000, -10000, 2500]), share: 0.005 },
  { name: 'facets permuted, seed 20261', corners: shapes.permuted(CORNERS, 20261), share: 0.002 },
  { name: 'in inches', corners: shapes.scaled(CORNERS, 1 / 25.4), options: { unit: 'in' }, share: 0.002 },
  { name: 'in metres', corners: shapes.scaled(CORNERS, 1 / 1000), options: { unit: 'm' }, share: 0.002 },
  { name: 'lying on its side, axis +x', corners: lying(CORNERS), options: { axis: '+x' }, share: 0.005 },
  { name: 'finer', corners: pocket(144, 18), share: 0.02 },
  { name: 'much finer', corners: pocket(256, 24), share: 0.02 },
];

/** (x, y, z) to (z, x, y): what was up points along +x. */
function lying(corners: Float64Array): Float64Array {
  return corners.map((_, i) => corners[i - (i % 3) + ((i + 2) % 3)]);
}

let plain: Plan;
beforeAll(async () => {
  plain = (await surveyShape(CORNERS, OPTIONS)).plan;
});

describe.each(GUISES)('$name', ({ corners, options = {}, share }) => {
  let plan: Plan;
  beforeAll(async () => {
    plan = (await surveyShape(corners, { ...OPTIONS, ...options })).plan;
  });
  const expectLike = (found: number, expected: number, least: number): void => {
    expect(Math.abs(found - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(
      share * Math.max(expected, least),
    );
  };

  test('the same classes, in as many regions', () => {
    for (const cls of CLASSES) {
      expectLike(plan.classes[cls].areaMm2, plain.classes[cls].areaMm2, 40);
      expect(plan.classes[cls].regions, cls).toBe(plain.classes[cls].regions);
    }
  });

  test('the same reach', () => {
    plan.reach.byRadius.forEach((one, i) => {
      const like = plain.reach.byRadius[i];
      expect(one.radiusMm).toBe(like.radiusMm);
      expectLike(one.unreachedAreaMm2, like.unreachedAreaMm2, 1);
      // Columns over rest are drawn anew in each pose.
      expect(Math.abs(Number(one.restVolumeMm3) - Number(like.restVolumeMm3))).toBeLessThanOrEqual(
        (0.02 + share) * Number(like.restVolumeMm3) + 0.1,
      );
    });
    expect(plain.reach.tightRegions.length).toBeGreaterThan(0);
    expect(plan.reach.tightRegions.length).toBe(plain.reach.tightRegions.length);
    plan.reach.tightRegions.forEach(({ reachRadiusMm, depthMm }, i) => {
      const like = plain.reach.tightRegions[i];
      expect(Math.abs(Number(reachRadiusMm) - Number(like.reachRadiusMm))).toBeLessThan(
        0.01 + 0.03 * Number(like.reachRadiusMm),
      );
      expect(Math.abs(depthMm - like.depthMm)).toBeLessThan(0.05);
    });
  });

  test('the same cutters, and times within 2 %', () => {
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(plain.ladder.map(({ cutterId }) => cutterId));
    expect(Math.abs(plan.time.finishingMinutes / plain.time.finishingMinutes - 1)).toBeLessThan(
      Math.max(0.02, share),
    );
  });
});

import { describe, expect, test } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { scallopSpacing } from '../../src/time/scallop.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { abs, cos, PI, sin, tan } = Math;
const RE = 1;
const cutters = [{ id: 'B2', DC: 2 * RE, RE, APMX: 16, LU: 60, NOF: 2 }];
const last = lastAnswers();
const survey = (corners: Float64Array, more: SetupFile = {}) =>
  surveyShape(
    corners,
    {
      ...FINISHING_ALONE,
      cutters: { version: 1, cutters },
      constantSpacingMm2: 1e4,
      toleranceMm: 0.005,
      ...more,
    },
    last,
  );
const expectShare = (found: number, expected: number, share: number): void =>
  expect(abs(found / expected - 1), `${found}, expected ${expected}`).toBeLessThanOrEqual(share);

/**
 * Lines s apart along a surface are area over s long. The cutter's centre runs on its parallel surface: with lines in all
 * directions alike, `1 + RE H` as far, H being the mean curvature, positive where it bulges.
 */
const centreWay = (areaMm2: number, bendMm: number): number =>
  (areaMm2 + RE * bendMm) / scallopSpacing(RE, 0.005);

describe('lines at one distance along the surface: as long as area over step', () => {
  // Of a sphere H is 1 / S all over.
  test('a dome', async () => {
    const S = 9;
    const { plan, files } = await survey(shapes.domeOnPlate(S, 40, 96));
    const { waterline, constant } = plan.passes;
    // At its foot the ball touches plate and dome: of Archimedes' hat-box that height is missing.
    const areaMm2 = 2 * PI * S * (S - (S * RE) / (S + RE));
    expectShare(constant.areaMm2, areaMm2, 0.02);
    expectShare(constant.pathLengthMm, centreWay(constant.areaMm2, constant.areaMm2 / S), 0.02);
    expect(waterline.areaMm2).toBe(0);
    expect(constant.spacingMm).toBeCloseTo(scallopSpacing(RE, 0.005), 9);
    // Its stage, with rings that hold it, and the regions in which it works.
    const stage = plan.stages.find(({ kind }) => kind === 'constant');
    expect(stage?.minutes).toBe(constant.minutes);
    expect(stage?.rings.length).toBeGreaterThan(0);
    const own = plan.regions.filter(({ work }) => work.some(({ pass }) => pass === 'constant'));
    expect(stage?.regionIds).toEqual(own.map(({ id }) => id));
    expectShare(
      own.reduce((sum, region) => sum + region.areaMm2, 0),
      2 * PI * S * S,
      0.02,
    );
    expect(String(files.get('outlines.svg'))).toContain('id="pass-constant"');
  });

  // Of a channel of radius S half of -1 / S: straight one way.
  test('a round channel', async () => {
    const [S, LENGTH] = [11, 26];
    const { constant } = (await survey(shapes.channel(S, LENGTH, 64))).plan.passes;
    expectShare(constant.areaMm2, PI * S * LENGTH, 0.02);
    expectShare(constant.pathLengthMm, centreWay(constant.areaMm2, -constant.areaMm2 / (2 * S)), 0.02);
  });

  // Of a cone whose wall stands at θ, sin θ / ρ round its axis: π sin θ over a unit of its slope.
  test('a cone', async () => {
    const [angleDeg, top, height] = [60, 4, 12];
    const rad = (angleDeg * PI) / 180;
    const shape = { baseRadius: top + height / tan(rad), topRadius: top, height, side: 50, segments: 128 };
    // The foot, where the ball touches the plate too, is left.
    const slope = height / sin(rad) - RE * tan(rad / 2);
    const { constant } = (await survey(shapes.frustumOnPlate(shape))).plan.passes;
    expectShare(constant.areaMm2, PI * (2 * top + slope * cos(rad)) * slope, 0.02);
    expectShare(constant.pathLengthMm, centreWay(constant.areaMm2, PI * sin(rad) * slope), 0.02);
  });
});

test('a patch is cut so where that is faster, and none that is larger than asked', async () => {
  const dome = shapes.domeOnPlate(9, 40, 64);
  const [{ plan: so }, { plan: none }] = [
    await survey(dome),
    await survey(dome, { constantSpacingMm2: 500 }),
  ];
  expect(none.passes.constant).toMatchObject({ areaMm2: 0, minutes: 0 });
  expect(none.stages.map(({ kind }) => kind)).not.toContain('constant');
  expect(so.time.finishingMinutes).toBeLessThan(none.time.finishingMinutes);
  // Flat ground stays with the other passes.
  expect(so.passes.raster.areaMm2).toBeGreaterThan(0);
});

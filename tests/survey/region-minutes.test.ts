import { expect, test } from 'vitest';
import type { Plan } from '../../src/plan/plan.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import { frustumOnPlate, joined, moved } from '../support/shapes.js';

const RAD = Math.PI / 180;
const SCALLOP = 0.005,
  RADIUS = 5;
/** A frustum so high on a plate, its wall at so many degrees. */
const frustum = (angleDeg: number, height: number, topRadius: number): Float64Array =>
  frustumOnPlate({
    baseRadius: topRadius + height / Math.tan(angleDeg * RAD),
    topRadius,
    height,
    side: 60,
    segments: 96,
  });
const surveyed = async (corners: Float64Array): Promise<Plan> => {
  const cutters = [{ id: 'B10', DC: 10, RE: RADIUS, APMX: 10, LU: 60, NOF: 2 }];
  return (
    await surveyShape(corners, {
      unit: 'mm',
      radiiMm: [RADIUS],
      scallopMm: SCALLOP,
      cutters: { version: 1, cutters },
      ...FINISHING_ALONE,
    })
  ).plan;
};

// Closed forms. Lines on a plane that leave ridges of h under a ball of R stand 2 sqrt(2 R h - h²) apart on it, down a
// wall at θ that times sin θ; the minutes of a pass go with the number of its lines.
test('a small cone takes steps of its own: the walls beside it take what a survey without it finds', async () => {
  const walls = frustum(85, 25, 12);
  const plan = await surveyed(joined(walls, moved(frustum(52, 3, 4), [80, 0, 0])));
  const spacing = 2 * Math.sqrt(2 * RADIUS * SCALLOP - SCALLOP ** 2);
  const { waterline } = plan.passes,
    { cutApart } = waterline;
  expect(waterline.spacingMm).toBeCloseTo(spacing * Math.sin(52 * RAD), 3);
  expect(waterline.widestSpacingMm).toBeCloseTo(spacing * Math.sin(85 * RAD), 3);
  expect(cutApart?.stepMm).toBe(waterline.spacingMm);
  expect(cutApart?.restStepMm).toBeCloseTo(waterline.widestSpacingMm, 9);
  const cone = plan.regions.find(({ id }) => id === cutApart?.regionIds[0]);
  expect(cutApart?.regionIds).toHaveLength(1);
  // Lateral area of a frustum of 96 sides, in all but 0.2 % that of the round one: π (r + R) slant.
  const low = 4 + 3 / Math.tan(52 * RAD);
  expect((cone?.areaMm2 ?? 0) / (Math.PI * (4 + low) * (3 / Math.sin(52 * RAD)))).toBeCloseTo(1, 2);

  const alone = await surveyed(walls);
  const ofWalls = plan.regions
    .filter(({ id }) => id !== cone?.id)
    .flatMap(({ work }) => work)
    .filter(({ pass }) => pass === 'waterline')
    .reduce((sum, { minutes }) => sum + minutes, 0);
  expect(ofWalls / alone.passes.waterline.minutes).toBeCloseTo(1, 3);
  // Lines at one step for all would be closer by the sines, and so would their minutes be more.
  const more = ofWalls * (Math.sin(85 * RAD) / Math.sin(52 * RAD) - 1);
  expect((cutApart?.savesMinutes ?? 0) / more).toBeCloseTo(1, 1);
  const told = plan.findings.find(({ code }) => code === 'minutes.step');
  expect(told?.message).toMatch(
    /^\d+ mm² \(region \d+\) need a stepdown of 0\.35\d mm in the waterline of B10/,
  );
  expect(Math.abs((told?.whereMm?.[0] ?? 0) - 80)).toBeLessThan(1e-6);
  expect(alone.passes.waterline.cutApart).toBeNull();
  expect(alone.findings.map(({ code }) => code)).not.toContain('minutes.step');
}, 200_000);

// Lines of a raster on level ground stand the full spacing apart, A / spacing of them in all; on a cone at θ its cosine of
// that. A ball of R keeps R tan(θ/2) off the cone's foot.
test('a cone that stands on the ground is cut apart from it: the ground takes its full steps', async () => {
  const [angleDeg, height, top] = [40, 6, 3];
  const plan = await surveyed(frustum(angleDeg, height, top));
  const spacing = 2 * Math.sqrt(2 * RADIUS * SCALLOP - SCALLOP ** 2);
  const { raster } = plan.passes;
  expect(raster.spacingMm / (spacing * Math.cos(angleDeg * RAD))).toBeCloseTo(1, 2);
  expect(raster.widestSpacingMm / spacing).toBeCloseTo(1, 4);
  const foot = top + height / Math.tan(angleDeg * RAD) + RADIUS * Math.tan((angleDeg / 2) * RAD);
  const [ground] = plan.regions.filter((one) => one.class === 'level').sort((a, b) => b.areaMm2 - a.areaMm2);
  const minutes = ground.work.find(({ pass }) => pass === 'raster')?.minutes ?? 0;
  const cutting = (60 * 60 - Math.PI * foot * foot) / spacing / raster.feedMmPerMin;
  const factor = plan.setup.machine.timeFactor;
  // Some 130 lines of 60 mm stop and step over, a fifth of them twice. At the cone's step it were 1 / cos 40 = 1.31 times that.
  expect(minutes / (cutting * factor)).toBeGreaterThan(1);
  expect(minutes / (cutting * factor)).toBeLessThan(1.25);
  expect(raster.cutApart?.savesMinutes).toBeGreaterThan(0.1 * minutes);
}, 200_000);

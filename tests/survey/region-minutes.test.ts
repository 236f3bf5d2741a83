import { expect, test } from 'vitest';
import type { Plan } from '../../src/plan/plan.js';
import { surveyShape } from '../support/pipeline.js';
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
    })
  ).plan;
};

// Closed forms. Lines on a plane that leave ridges of h under a ball of R stand 2 sqrt(2 R h - h²) apart on it, down a
// wall at θ that times sin θ; the minutes of a pass go with the number of its lines.
test('a small cone sets the step of tall walls: what is told of it is what a survey without it finds', async () => {
  const walls = frustum(85, 25, 12);
  const plan = await surveyed(joined(walls, moved(frustum(52, 3, 4), [80, 0, 0])));
  const spacing = 2 * Math.sqrt(2 * RADIUS * SCALLOP - SCALLOP ** 2);
  const { waterline } = plan.passes,
    setter = waterline.stepSetBy;
  expect(waterline.spacingMm).toBeCloseTo(spacing * Math.sin(52 * RAD), 3);
  expect(setter?.restStepMm).toBeCloseTo(spacing * Math.sin(85 * RAD), 3);
  const cone = plan.regions.find(({ id }) => id === setter?.regionIds[0]);
  expect(setter?.regionIds).toHaveLength(1);
  // Lateral area of a frustum of 96 sides, in all but 0.2 % that of the round one: π (r + R) slant.
  const low = 4 + 3 / Math.tan(52 * RAD);
  expect((cone?.areaMm2 ?? 0) / (Math.PI * (4 + low) * (3 / Math.sin(52 * RAD)))).toBeCloseTo(1, 2);

  const alone = await surveyed(walls);
  const ofWalls = plan.regions
    .filter(({ id }) => id !== cone?.id)
    .flatMap(({ work }) => work)
    .filter(({ pass }) => pass === 'waterline')
    .reduce((sum, { minutes }) => sum + minutes, 0);
  const saves = ofWalls - alone.passes.waterline.minutes;
  expect(saves).toBeGreaterThan(1);
  expect((setter?.savesMinutes ?? 0) / saves).toBeCloseTo(1, 1);
  const told = plan.findings.find(({ code }) => code === 'minutes.step');
  expect(told?.message).toMatch(
    /^\d+ mm² \(region \d+\) set the stepdown of the waterline of B10 to 0\.35\d mm/,
  );
  expect(Math.abs((told?.whereMm?.[0] ?? 0) - 80)).toBeLessThan(1e-6);
  expect(alone.findings.map(({ code }) => code)).not.toContain('minutes.step');
}, 60_000);

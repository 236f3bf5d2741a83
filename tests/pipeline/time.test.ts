import { beforeAll, describe, expect, test } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import type { Plan } from '../../src/plan/plan.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, cos, sin, sqrt, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;
/** `sl = 2 √(2 R h - h²)`, spacing on a plane for a scallop height (circle geometry; Choi & Jerard 1998). */
const spacing = (radius: number, height: number): number => 2 * sqrt(2 * radius * height - height * height);

const ball = (DC: number, more: object = {}) => ({
  id: `b${DC}`,
  DC,
  RE: DC / 2,
  APMX: DC,
  LU: 200,
  NOF: 2,
  ...more,
});
const withBalls = (diameters: readonly number[], more: Partial<SetupFile> = {}): SetupFile => ({
  cutters: { version: 1, cutters: diameters.map((DC) => ball(DC)) },
  ...more,
});
const last = lastAnswers();
const planOf = async (corners: Float64Array, setup: SetupFile): Promise<Plan> =>
  (await surveyShape(corners, { ...FINISHING_ALONE, ...setup }, last)).plan;

describe('a block with a ramp of 30 degrees', () => {
  let plan: Plan;
  beforeAll(async () => {
    plan = await planOf(shapes.rampBlock(30, 30, 20), withBalls([6]));
  });

  test('the raster runs along the fall, where the ramp is as far apart as it measures in plan', () => {
    // Planes that hold the direction of steepest fall: |∇f| = 1, so the full spacing serves (1.2 of the
    // scallop forms).
    expect(plan.passes.raster.directionDeg).toBe(0);
    expect(plan.passes.raster.spacingMm / spacing(3, 0.005)).toBeCloseTo(1, 9);
    expect(plan.passes.raster.maxScallopMm).toBeCloseTo(0.005, 9);
    expect(plan.passes.raster.areaAboveScallopMm2).toBe(0);
  });

  test('length is area over stepover, exactly, since the ramp is plane', () => {
    const { areaMm2, spacingMm, pathLengthMm, passCount } = plan.passes.raster;
    expect(pathLengthMm / (areaMm2 / spacingMm)).toBeCloseTo(1, 9);
    expect(passCount / (20 / spacingMm)).toBeCloseTo(1, 6);
  });

  test('naive minutes are length over feed, dynamic ones never below', () => {
    const { naiveMinutes, dynamicMinutes, pathLengthMm, feedMmPerMin } = plan.passes.raster;
    expect(naiveMinutes / (pathLengthMm / feedMmPerMin)).toBeCloseTo(1, 9);
    expect(dynamicMinutes).toBeGreaterThan(naiveMinutes);
  });

  test('across the fall the step shrinks by cos 30', async () => {
    const across = await planOf(shapes.rampBlock(30, 30, 20), withBalls([6], { rasterDirectionDeg: 90 }));
    expect(across.passes.raster.directionDeg).toBe(90);
    expect(across.passes.raster.spacingMm / (spacing(3, 0.005) * cos(rad(30)))).toBeCloseTo(1, 6);
    expect(across.time.finishingMinutes).toBeGreaterThan(plan.time.finishingMinutes);
  });

  test('theoretical Rz is the scallop, Ra about 4/(9 √3) of it', () => {
    expect(plan.passes.raster.theoreticalRzMm).toBeCloseTo(0.005, 9);
    expect((plan.passes.raster.theoreticalRaMm ?? 0) / ((0.005 * 4) / (9 * sqrt(3)))).toBeCloseTo(1, 3);
  });
});

describe('split', () => {
  test('equal scallops: tan θ = stepdown / stepover for given steps, 45 for a scallop height', async () => {
    const given = await planOf(shapes.rampBlock(30), withBalls([6], { stepdownMm: 0.2, stepoverMm: 0.1 }));
    expect(given.split.equalScallopDeg).toBeCloseTo(63.4349, 4);
    expect((await planOf(shapes.rampBlock(30), withBalls([6]))).split.equalScallopDeg).toBe(45);
  });

  test('auto takes the lowest point of the curve, and classes are cut there', async () => {
    // A plain ramp of 52 degrees: by waterline it costs 1/(sin θ) of nothing more than its spacing, and so
    // any split up to 52 is as good; past 52 the raster gets it. The floor beside is level at any split.
    const shape = shapes.frustum(20, 8, 12, 64);
    const plan = await planOf(shape, withBalls([6], { splitDeg: 'auto' }));
    const { angleDeg, fastestDeg, curve } = plan.split;
    expect(angleDeg).toBe(fastestDeg);
    expect(plan.setup.splitDeg).toBe(fastestDeg);
    const lowest = Math.min(...curve.map(({ minutes }) => minutes));
    expect(curve.find((point) => point.angleDeg === angleDeg)?.minutes).toBeCloseTo(lowest, 6);
    const at45 = curve.find((point) => point.angleDeg === 45)?.minutes ?? NaN;
    expect(plan.split.gain.over45.minutes).toBeCloseTo(at45, 6);
    expect(plan.split.gain.over45.share).toBeCloseTo(1 - lowest / at45, 6);
  });

  test('a vertical wall leaves no single raster, a level floor no single waterline', async () => {
    const {
      split: { gain },
    } = await planOf(shapes.boxPocket({ width: 16, length: 16, depth: 6, land: 4 }), withBalls([6]));
    expect(gain.overWaterline).toEqual({ minutes: null, share: null });
    expect(gain.overRaster.minutes).toBeNull();
  });
});

describe('ladder', () => {
  const pocket = shapes.boxPocket({ width: 20, length: 16, depth: 6, land: 8 });
  /** Radii that reach is asked for, whatever the catalogue: that is done once. */
  const radiiMm = [0.5, 1, 2, 4, 6];
  let best: Plan;
  beforeAll(async () => {
    best = await planOf(pocket, withBalls([1, 2, 4, 8, 12], { radiiMm }));
  });

  test('minutes add up, and each cutter finishes what the one before it left', () => {
    const { ladder, time, setup, ladderLeftOut } = best;
    const machinable = (['level', 'shallow', 'overlap', 'steep'] as const).reduce(
      (sum, c) => sum + best.classes[c].areaMm2,
      0,
    );
    ladder.forEach((rung, i) => {
      const before = i === 0 ? machinable : ladder[i - 1].unreachedAreaMm2;
      expect(rung.finishedAreaMm2).toBeCloseTo(before - rung.unreachedAreaMm2, 6);
      if (i > 0) expect(rung.DC).toBeLessThan(ladder[i - 1].DC);
    });
    expect(ladder.at(-1)?.cutterId).toBe('b1');
    expect(time.finishingMinutes).toBeCloseTo(
      ladder.reduce((sum, { minutes }) => sum + minutes, 0),
      9,
    );
    expect(time.toolChangeMinutes).toBeCloseTo((ladder.length * setup.machine.toolChangeSeconds) / 60, 9);
    const named = [
      ...ladder.map(({ cutterId }) => cutterId),
      ...ladderLeftOut.map(({ cutterId }) => cutterId),
    ].sort();
    expect(named).toEqual(['b1', 'b12', 'b2', 'b4', 'b8']);
  });

  test('the fastest ladder is no slower than any made of a part of the catalogue with the same last cutter', async () => {
    for (const subset of [[1], [1, 4], [1, 8]]) {
      const { time } = await planOf(pocket, withBalls(subset, { radiiMm }));
      expect(best.time.totalMinutes).toBeLessThanOrEqual(time.totalMinutes + 1e-6);
    }
  });

  test('dear changes make it shorter', async () => {
    const { machine } = best.setup;
    const slow = await planOf(
      pocket,
      withBalls([1, 4, 8], { radiiMm, machine: { ...machine, toolChangeSeconds: 36_000 } }),
    );
    expect(slow.ladder.map(({ cutterId }) => cutterId)).toEqual(['b1']);
    expect(slow.ladderLeftOut.map(({ reason }) => reason)).toEqual(['saves-too-little', 'saves-too-little']);
    slow.ladderLeftOut.forEach(({ extraMinutes }) => expect(extraMinutes).toBeGreaterThan(0));
  });

  test('largest-first begins with the largest that reaches its share', async () => {
    const plan = await planOf(
      pocket,
      withBalls([1, 4, 8], { radiiMm, ladderRule: 'largest-first', firstCutterShare: 0.6 }),
    );
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['b8', 'b4', 'b1']);
    const strict = await planOf(pocket, withBalls([1, 4, 8], { radiiMm, firstCutterShare: 0.99 }));
    expect(strict.ladder.map(({ cutterId }) => cutterId)).toEqual(['b1']);
    expect(strict.ladderLeftOut[0]).toMatchObject({
      cutterId: 'b8',
      reason: 'below-first-share',
      extraMinutes: null,
    });
  });
});

describe('stickout', () => {
  // A pocket 30 deep and 16 wide, a holder of 50 mm diameter: it does not fit in, so it must stay above the
  // rim.
  const pocket = shapes.boxPocket({ width: 16, length: 16, depth: 30, land: 6 });
  const held = { holder: [{ diameterMm: 50, lengthMm: 60 }], LU: 25 };

  test('depth of the pocket and the clearance, flagged where LU is less', async () => {
    const cutters = { version: 1 as const, cutters: [ball(6, held)] };
    const plan = await planOf(pocket, { cutters, holderClearanceMm: 0.5 });
    // A wall's foot counts as touched up to the tolerance: the ball may be taken to stand √(2 R tol) too low.
    const stickout = plan.ladder[0].stickoutMm ?? NaN,
      low = sqrt(2 * 3 * 0.02);
    expect(stickout).toBeGreaterThan(30.5 - 1e-6);
    expect(stickout).toBeLessThan(30.5 + low + 1e-6);
    expect(plan.ladder[0]).toMatchObject({ exceedsUsable: true, stickoutLimitedBy: 'holder' });
    expect(plan.ladder[0].lengthToDiameter).toBeCloseTo(stickout / 6, 9);
    // Cantilever: deflection grows with L³ at equal D (beam theory).
    expect(plan.ladder[0].deflectionRatio).toBeCloseTo((stickout / 18) ** 3, 9);
    expect(plan.findings.some(({ code }) => code === 'stickout.too-short')).toBe(true);
    const wide = await planOf(pocket, { cutters, holderClearanceMm: 2 });
    expect(wide.ladder[0].stickoutMm).toBeCloseTo(stickout + 1.5, 6);
  });

  test('a cutter that is too short is left out where another does the same', async () => {
    const cutters = { version: 1 as const, cutters: [ball(6), ball(8, held)] };
    const { ladder, ladderLeftOut } = await planOf(pocket, { cutters });
    expect(ladder.map(({ cutterId }) => cutterId)).toEqual(['b6']);
    expect(ladderLeftOut[0]).toMatchObject({ cutterId: 'b8', reason: 'barred' });
    expect(ladderLeftOut[0].detail).toContain('more than its LU of 25 mm');
  });
});

test("cost: time and set-up at the hourly rate, wear by the minute; the range is the machine file's", async () => {
  const { plan, files } = await surveyShape(shapes.rampBlock(30), {
    cutters: { version: 1, cutters: [ball(6, { wearCostPerMinute: 0.25 })] },
  });
  const { setup, time } = plan;
  const spread = await planOf(shapes.rampBlock(30), {
    cutters: { version: 1, cutters: [ball(6)] },
    machine: { ...setup.machine, timeFactor: 2, timeSpread: { low: 0.9, high: 1.3 } },
  });
  expect(time.cost).toBeCloseTo(time.totalMinutes + 30 + 0.25 * time.finishingMinutes, 9);
  expect(time.lowMinutes).toBeCloseTo(0.75 * time.finishingMinutes + time.toolChangeMinutes, 9);
  expect(spread.time.finishingMinutes / time.finishingMinutes).toBeCloseTo(2, 9);
  expect(spread.time.highMinutes).toBeCloseTo(
    1.3 * spread.time.finishingMinutes + spread.time.toolChangeMinutes,
    9,
  );
  expect(String(files.get('quote.csv')).split('\r\n')).toHaveLength(6);
});

test("waterline of a cone: length by its area and the way of the ball's centre", async () => {
  // Frustum of 60 degrees between radii 20 and 10: A = π (20 + 10) · 20. The centre runs 3 sin 60 farther out
  // than the surface, so its circles are longer by the same at every height: mean radius 15 + 3 sin 60.
  const plan = await planOf(shapes.frustum(20, 10, 10 * tan(rad(60)), 128), withBalls([6]));
  const { pathLengthMm, spacingMm } = plan.passes.waterline;
  const expected = (2 * PI * (15 + 3 * sin(rad(60))) * 10 * tan(rad(60))) / spacingMm;
  expect(pathLengthMm / expected).toBeCloseTo(1, 2);
  expect(spacingMm / (spacing(3, 0.005) * sin(rad(60)))).toBeCloseTo(1, 3);
});

import { beforeAll, expect, test } from 'vitest';
import { MODELS, modelBytes } from '../../models/catalogue.js';
import { lastAnswers } from '../../src/core/last-answers.js';
import type { Plan } from '../../src/plan/plan.js';
import { resolveSetup, SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

// Two slots 2.4 wide and 12 long, 4 and 30 deep, and a holder that enters neither: a ball of DC 2 must stick out as far
// as each is deep.
const [WIDTH, LENGTH, SHALLOW, DEPTH, CLEARANCE] = [2.4, 12, 4, 30, 0.5];
const slots = shapes.turned(
  shapes.joined(
    shapes.throughSlot(WIDTH, DEPTH, LENGTH),
    shapes.moved(shapes.throughSlot(WIDTH, SHALLOW, LENGTH), [40, 0, 0]),
  ),
  17.3,
);
const held = { holder: [{ diameterMm: 20, lengthMm: 60 }], LU: 100, NOF: 2 };
const cutters = {
  version: 1 as const,
  cutters: [10, 2].map((DC) => ({ id: `B${DC}`, DC, RE: DC / 2, APMX: DC, ...held })),
};
/** The part is surveyed with two limits, which nothing of its reach depends on. */
const last = lastAnswers();
const planOf = async (mostLengthToDiameter: number): Promise<Plan> =>
  (
    await surveyShape(
      slots,
      {
        unit: 'mm',
        stand: false,
        cutters,
        radiiMm: [1],
        mostLengthToDiameter,
        ladderRule: 'largest-first',
        firstCutterShare: 0.1,
        holderClearanceMm: CLEARANCE,
        ...FINISHING_ALONE,
      },
      last,
    )
  ).plan;

let within: Plan, beyond: Plan;
beforeAll(async () => {
  [within, beyond] = [await planOf(20), await planOf(10)];
});

test('within the limit both slots are milled, the slender cutter with a warning', () => {
  expect(within.reach.tooDeep).toEqual([]);
  expect(within.ladder.map(({ cutterId }) => cutterId)).toEqual(['B10', 'B2']);
  expect(within.ladder[1].restRegions).toHaveLength(2);
  expect(within.findings.map(({ code }) => code)).toContain('stickout.slender');
});

test('beyond it the deep slot is listed with what it needs, and is in no minutes; the shallow one is milled', () => {
  const [place] = beyond.reach.tooDeep;
  expect(beyond.reach.tooDeep).toHaveLength(1);
  // Touched up to the tolerance, the ball may be taken to stand √(2 R tol) too low in the foot of a wall.
  const low = (DEPTH + CLEARANCE) / 2,
    high = (DEPTH + CLEARANCE + Math.sqrt(2 * 0.02)) / 2;
  expect(place.cutterId).toBe('B2');
  expect(place.lengthToDiameter).toBeGreaterThan(low - 1e-6);
  expect(place.lengthToDiameter).toBeLessThan(high + 1e-6);
  // Both walls but for less than R at the foot, and the floor between.
  expect(place.areaMm2).toBeGreaterThan(2 * (DEPTH - 1) * LENGTH);
  expect(place.areaMm2).toBeLessThan((2 * DEPTH + WIDTH) * LENGTH);
  expect(beyond.ladder.map(({ cutterId }) => cutterId)).toEqual(['B10', 'B2']);
  expect(beyond.ladder[1].restRegions).toHaveLength(1);
  expect(beyond.ladder[1].lengthToDiameter).toBeLessThan((SHALLOW + CLEARANCE + 1) / 2);
  expect(beyond.ladder[1].finishedAreaMm2 + place.areaMm2).toBeCloseTo(within.ladder[1].finishedAreaMm2, 6);
  expect(beyond.ladder[1].unreachedAreaMm2 - place.areaMm2).toBeCloseTo(within.ladder[1].unreachedAreaMm2, 6);
  expect(beyond.ladder[1].minutes).toBeLessThan(within.ladder[1].minutes / 3);
  expect(beyond.findings.find(({ code }) => code === 'reach.too-deep')?.message).toContain(
    'B2 sticking out 30.',
  );
  // The tight place in the deep slot has no cutter, the other one has.
  const cutterAt = (depth: number): (string | null)[] =>
    beyond.reach.tightRegions
      .filter(({ boundsMm }) => Math.abs(boundsMm.min[2] + depth) < 0.5)
      .map(({ cutterId }) => cutterId);
  expect([cutterAt(DEPTH), cutterAt(SHALLOW)]).toEqual([[null], [null]]);
});

// A slot 8 wide and 30 deep that a ball of DC 6 reaches at 5 x DC, and a narrow shallow one that takes DC 2: where changes
// are dear DC 2 would do both, at 15 x DC in the deep one.
test('a smaller cutter does no place that a larger one reaches if it would stick out too far there', async () => {
  const both = shapes.joined(
    shapes.throughSlot(8, DEPTH, LENGTH),
    shapes.moved(shapes.throughSlot(WIDTH, SHALLOW, LENGTH), [40, 0, 0]),
  );
  const { plan } = await surveyShape(shapes.turned(both, 17.3), {
    unit: 'mm',
    stand: false,
    cutters: {
      version: 1,
      cutters: [6, 2].map((DC) => ({ id: `B${DC}`, DC, RE: DC / 2, APMX: DC, ...held })),
    },
    machine: { ...SETUP_DEFAULTS.machine, toolChangeSeconds: 36_000 },
    firstCutterShare: 0,
    holderClearanceMm: CLEARANCE,
    ...FINISHING_ALONE,
  });
  expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['B6', 'B2']);
  for (const { lengthToDiameter } of plan.ladder) expect(lengthToDiameter).toBeLessThanOrEqual(10);
  // Nothing does without either of them.
  expect(plan.ladder.map(({ savesMinutes }) => savesMinutes)).toEqual([null, null]);
  expect(plan.ladderSecond).toBeNull();
});

// At the default limit the ball of DC 1 would stick out 14.5 x DC where those of DC 1.5 and DC 2 get in too, longer than
// those of the catalogue are.
test('latch housing: what a slender cutter may not do a larger one does, though a longer one is needed for it', async () => {
  const latch = MODELS.find(({ name }) => name === 'latch-housing')!;
  const balls = SETUP_DEFAULTS.cutters.filter(({ DC, RE }) => RE === DC / 2 && [1, 1.5, 2, 6].includes(DC)),
    radiiMm = balls.map(({ RE }) => RE);
  const planWith = async (mostLengthToDiameter: number): Promise<Plan> =>
    (
      await surveyPart(
        modelBytes(latch),
        'latch.stl',
        {
          ...resolveSetup(undefined, { unit: 'mm', radiiMm, mostLengthToDiameter, ...FINISHING_ALONE }),
          cutters: balls,
        },
        { last },
      )
    ).plan;
  const [free, held] = [await planWith(1000), await planWith(10)];
  for (const { lengthToDiameter } of held.ladder) expect(lengthToDiameter).toBeLessThanOrEqual(10);
  expect(Math.max(...free.ladder.map(({ lengthToDiameter }) => lengthToDiameter ?? 0))).toBeGreaterThan(10);
  const tooDeepMm2 = held.reach.tooDeep.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);
  expect(tooDeepMm2).toBeGreaterThan(1);
  const [leftFree, leftHeld] = [free, held].map(({ ladder }) => ladder[ladder.length - 1].unreachedAreaMm2);
  expect(Math.abs(leftHeld - tooDeepMm2 - leftFree)).toBeLessThan(0.01 * leftHeld);
});

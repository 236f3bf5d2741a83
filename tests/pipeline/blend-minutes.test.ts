import { describe, expect, test } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import type { Plan } from '../../src/plan/plan.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { abs, PI, sqrt } = Math;
const TOLERANCE = 0.005;
const cutter = (id: string, DC: number, RE: number) => ({ id, DC, RE, APMX: 16, LU: 60, NOF: 2 });
/** Beside two planes what is thinner than the tolerance counts as reached. */
const within = (radius: number): number => sqrt(2 * radius * TOLERANCE + TOLERANCE * TOLERANCE);
const expectShare = (found: number, expected: number, share: number): void =>
  expect(abs(found / expected - 1), `${found}, expected ${expected}`).toBeLessThanOrEqual(share);

const [B4, B10, F10, N10] = [
  cutter('B4', 4, 2),
  cutter('B10', 10, 5),
  cutter('F10', 10, 0),
  cutter('N10', 10, 2),
];
/** What is asked does not depend on the blend. */
const last = lastAnswers();
const surveyed = async (
  corners: Float64Array,
  cutters: ReturnType<typeof cutter>[],
  blendShare: number,
  more: SetupFile = {},
): Promise<Plan> => {
  // The smaller ball is not to begin; what is no more than a crumb of so large a ring is timed without a move to it.
  const setup: SetupFile = {
    ...FINISHING_ALONE,
    cutters: { version: 1, cutters },
    toleranceMm: TOLERANCE,
    ladderRule: 'largest-first',
    firstCutterShare: 0,
    leastRingShare: 0.5,
  };
  const steps = { blendShare, stepoverMm: 0.2, stepdownMm: 0.2 };
  return (await surveyShape(corners, { ...setup, ...steps, ...more }, last)).plan;
};

/** Surface that the minutes of a plan's last cutter are for: on flat ground, at one step and feed. */
function cutMm2({ stages, setup: { machine } }: Plan): number {
  const corners = stages.filter(({ kind }) => kind === 'corners').at(-1);
  if (!corners) throw new Error('no corners');
  return (corners.minutes / machine.timeFactor) * (corners.stepoverMm ?? NaN) * (corners.feedMmPerMin ?? NaN);
}

describe('the strip by which the next cutter runs out onto clean surface is in the minutes, once', () => {
  const BLEND = 0.1;
  /** What the blend adds: to the minutes, and to the places listed, whose borders are asked about. */
  const added = async (corners: Float64Array, cutters: ReturnType<typeof cutter>[], more: SetupFile = {}) => {
    const [without, blended] = [
      await surveyed(corners, cutters, 0, more),
      await surveyed(corners, cutters, BLEND, more),
    ];
    expect(blended.stages.map(({ kind, cutterId }) => [kind, cutterId])).toEqual(
      without.stages.map(({ kind, cutterId }) => [kind, cutterId]),
    );
    const areas = [without, blended].map((plan) => plan.ladder.at(-1)?.restAreaMm2 ?? NaN);
    return { mm2: cutMm2(blended) - cutMm2(without), listedMm2: areas[1] - areas[0] };
  };
  const balls: SetupFile = { floors: 'ball', walls: 'ball' };

  // Two planes at a right angle: a ball touches both at R from their line, taken larger at (1 + b) R.
  test('the corner of a straight trough: b R on both flanks, as long as it is', async () => {
    const LENGTH = 30;
    const trough = shapes.turned(shapes.vGroove({ turningDeg: 90, arm: 20, length: LENGTH }), 23.7);
    const { mm2, listedMm2 } = await added(trough, [B10, B4], balls);
    const strips = 2 * LENGTH * (BLEND * 5 - within(5 * (1 + BLEND)) + within(5));
    expectShare(listedMm2, strips, 0.03);
    // The larger ball is beyond all that were asked about: its strip goes by what the others tell.
    expectShare(mm2, strips, 0.15);
  });

  // Strips along a bull-nose's walls grow with RE, what a round end leaves of a corner in plan as (1 + b)²: what is listed
  // was asked about, with the cutter as much larger.
  test.each([
    ['bull-nose', N10],
    ['flat end', F10],
  ])('after a %s as much as is listed', async (_name, mill) => {
    const pocket = shapes.turned(shapes.boxPocket({ width: 34, length: 28, depth: 8, land: 6 }), 17.3);
    const plan = await surveyed(pocket, [mill, B4], BLEND, { toleranceMm: 0.02 });
    expectShare(cutMm2(plan), plan.ladder[1].restAreaMm2 ?? NaN, 0.04);
  });

  test("round a pocket's floor a ring of b R, and as high along its wall", async () => {
    const RADIUS = 16;
    const bore = shapes.bore(RADIUS, 14, 96);
    const { mm2, listedMm2 } = await added(bore, [B10, B4], balls);
    const wide = (R: number): number => R - within(R),
      ring = (w: number): number => PI * (RADIUS ** 2 - (RADIUS - w) ** 2) + 2 * PI * RADIUS * w;
    const strips = ring(wide(5 * (1 + BLEND))) - ring(wide(5));
    expectShare(listedMm2, strips, 0.03);
    expectShare(mm2, strips, 0.15);
  });
});

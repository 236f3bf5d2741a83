import { describe, expect, test } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { abs, PI, sqrt } = Math;
const cutter = (id: string, DC: number, RE: number) => ({ id, DC, RE, APMX: 20, LU: 60, NOF: 2 });
const tapered = (id: string, DC: number) => ({
  ...cutter(id, DC, DC / 2),
  DMM: DC + 3,
  taperHalfAngleDeg: 3,
});
const TOLERANCE = 0.005;
const within = (radius: number): number => sqrt(2 * radius * TOLERANCE + TOLERANCE * TOLERANCE);
const expectShare = (found: number | null, expected: number, share: number): void => {
  expect(abs((found ?? NaN) - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(
    share * abs(expected),
  );
};
/** Tests that follow each other ask about the same pocket, some of the same cutter. */
const last = lastAnswers();
const survey = (corners: Float64Array, cutters: ReturnType<typeof cutter>[], more: SetupFile = {}) =>
  surveyShape(
    corners,
    {
      cutters: { version: 1, cutters },
      radiiMm: [3],
      toleranceMm: TOLERANCE,
      scallopMm: 0.02,
      // On parts as small as these none saves much.
      leastGainMinutes: 0,
      ...FINISHING_ALONE,
      ...more,
    },
    last,
  );

describe('a box pocket, 40 x 30, 12 deep', () => {
  const SIZE = { width: 40, length: 30, depth: 12, land: 8 };
  const pocket = (): Float64Array => shapes.turned(shapes.boxPocket(SIZE), 17.3);
  // In upright corners a cutter leaves strips DC/2 wide on both walls, along the floor RE on floor and walls;
  // the floor's own corners are rounded by its flat end, of radius DC/2 - RE.
  const unreached = (DC: number, RE: number): number => {
    const corner = DC / 2 - within(DC / 2),
      foot = RE > 0 ? RE - within(RE) : 0;
    const walls = [40, 30].reduce(
      (sum, side) => sum + 2 * (side * 12 - (side - 2 * corner) * (12 - foot)),
      0,
    );
    const rounded = 4 * (1 - PI / 4) * (DC / 2 - RE) ** 2;
    return walls + (40 * 30 - (40 - 2 * foot) * (30 - 2 * foot)) + rounded;
  };

  test('bull-noses: classes, passes, ladder, rest and time, and a finding that says how', async () => {
    const { plan, files } = await survey(pocket(), [cutter('N10', 10, 2), cutter('N4', 4, 1)]);
    const finding = plan.findings.find(({ code }) => code === 'cutters.no-ball');
    // Each reaches all that the larger one does, so the order was searched by minutes.
    expect(finding?.severity).toBe('info');
    expect(finding?.message).not.toContain('minutes');
    expect(plan.ladder[0].savesMinutes).toBeGreaterThan(0);
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['N10', 'N4']);
    const [first, second] = plan.ladder;
    expectShare(first.unreachedAreaMm2, unreached(10, 2), 0.02);
    expectShare(second.unreachedAreaMm2, unreached(4, 1), 0.02);
    // What N4 cleans runs out by 3 % of N10, on every side of the strips.
    expectShare(second.restAreaMm2, unreached(10.3, 2.06) - unreached(4, 1), 0.03);
    const [n10, n4] = plan.reach.byCutter;
    expectShare(second.restVolumeMm3, (n10.restVolumeMm3 ?? NaN) - (n4.restVolumeMm3 ?? NaN), 0.02);
    expect(plan.reach.leftover.length).toBeGreaterThan(0);
    expect(plan.reach.tightRegions.length).toBeGreaterThan(0);
    // Beside the rim, where bull-noses roll over it, single points read as not reached: crumbs.
    const regions = plan.reach.tightRegions.filter(({ areaMm2 }) => areaMm2 > 0.1);
    expect(regions.map(({ cutterId }) => cutterId)).toEqual([null]);
    expect(plan.passes.raster.spacingMm).toBeCloseTo(2 * sqrt(0.02 * (2 * 2 - 0.02)), 2);
    expect(plan.time.totalMinutes).toBeGreaterThan(0);
    expect([...files.keys()]).toContain('report.html');
    expect(String(files.get('outlines.svg'))).toContain('id="cutter-N4-rest-contact"');
  });

  test('not nested: a flat end after a bull-nose that is smaller reaches what it leaves along the floor', async () => {
    const { plan } = await survey(pocket(), [cutter('N10', 10, 2), cutter('F8', 8, 0)]);
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['N10', 'F8']);
    expectShare(plan.ladder[1].unreachedAreaMm2, unreached(8, 0), 0.02);
    // All feet along the floor are cleaned.
    expectShare(plan.ladder[1].finishedAreaMm2, unreached(10, 2) - unreached(8, 0), 0.02);
    // Both stand upright in the corners: N10 leaves all that F8 does, and the foot of its rounding along the floor, its
    // section (1 - π / 4) RE² turned about the corners at 3 mm from their middle, whose centroid is at 2 · 0.7766.
    const round = (1 - PI / 4) * 2 * 2;
    const inCorners = 4 * (1 - PI / 4) * (25 - 16) * 12;
    const foot = round * (2 * (40 - 10) + 2 * (30 - 10)) + round * 2 * PI * (3 + 2 * 0.7766);
    expectShare(plan.ladder[1].restVolumeMm3, inCorners + foot, 0.03);
    expect(plan.ladder[0].savesMinutes).toBeNull();
    expect(plan.findings.find(({ code }) => code === 'cutters.no-ball')?.message).toContain('minutes');
    expect(plan.findings.find(({ code }) => code === 'passes.flat-end')?.message).toContain('F8');
  });

  test('flat ends: what they leave is the upright corners; level ground in steps of DC', async () => {
    const { plan } = await survey(pocket(), [cutter('F10', 10, 0), cutter('F4', 4, 0)]);
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['F10', 'F4']);
    expectShare(plan.ladder[0].unreachedAreaMm2, unreached(10, 0), 0.02);
    expectShare(plan.ladder[1].unreachedAreaMm2, unreached(4, 0), 0.02);
    expect(plan.passes.raster.spacingMm).toBe(10);
    expect(plan.findings.map(({ code }) => code)).toContain('passes.flat-end');
    // Four upright corners: the floor is reached to its edge elsewhere.
    expect(plan.reach.leftover.length).toBe(4);
  });

  test('the fastest split and a tapered ball-nose work as well', async () => {
    const slot = shapes.turned(shapes.throughSlot(12, 8, 16), 17.3);
    const { plan } = await survey(slot, [tapered('T4', 4), cutter('N10', 10, 2)], { splitDeg: 'auto' });
    expect(plan.ladder.length).toBeGreaterThan(0);
    expect(plan.split.fastestDeg).not.toBeNull();
    expect(plan.setup.splitDeg).toBe(plan.split.fastestDeg);
  });
});

// Elementary geometry: a flat end of less than a slot's width leaves nothing in it, a wider one all.
test('each tight place is left to the largest cutter that reaches all of it', async () => {
  const narrow = shapes.moved(shapes.throughSlot(3, 4, 12), [30, 0, 0]);
  const corners = shapes.turned(shapes.joined(shapes.throughSlot(6, 4, 12), narrow), 17.3);
  const cutters = [cutter('F10', 10, 0), cutter('F4', 4, 0), cutter('F2', 2, 0)];
  const { plan } = await survey(corners, cutters, { ladderRule: 'largest-first', firstCutterShare: 0.1 });
  expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['F10', 'F4', 'F2']);
  expect(plan.reach.tightRegions.map(({ cutterId }) => cutterId)).toEqual(['F4', 'F2']);
  expect(plan.reach.leftover).toEqual([]);
});

test('one that reaches nothing more is left out, with the reason', async () => {
  const corners = shapes.turned(shapes.throughSlot(12, 4, 12), 17.3);
  const { plan } = await survey(corners, [cutter('N10', 10, 2), cutter('N10b', 10, 2)]);
  expect(plan.ladder.length).toBe(1);
  expect(plan.ladder[0].unreachedAreaMm2).toBeGreaterThan(10);
  expect(plan.ladderLeftOut).toEqual([
    expect.objectContaining({ cutterId: 'N10b', reason: 'reaches-nothing-more' }),
  ]);
});

// A convex dome: everything is reached by everything, so nothing is left and no ball radius is needed.
test('where all is reached there is no tight place', async () => {
  const { plan } = await survey(shapes.hemisphere(10, 48), [cutter('N6', 6, 1)]);
  expect([plan.reach.tightRegions, plan.reach.leftover]).toEqual([[], []]);
  expect(plan.reach.smallestRadiusMm).toBeNull();
  expectShare(plan.ladder[0].finishedAreaMm2, 2 * PI * 100, 0.01);
});

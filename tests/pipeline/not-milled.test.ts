import { describe, expect, test } from 'vitest';
import type { Plan } from '../../src/plan/plan.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { plainText, reportRows } from '../support/read-report.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, sqrt } = Math;
const TOLERANCE = 0.02,
  CLEARANCE = 0.5;
const holder = [{ diameterMm: 30, lengthMm: 60 }];
const cutter = (id: string, DC: number, RE: number, LU = 100) => ({
  id,
  DC,
  RE,
  APMX: DC,
  LU,
  NOF: 2,
  holder,
});
const survey = (corners: Float64Array, cutters: ReturnType<typeof cutter>[], more: SetupFile = {}) =>
  surveyShape(corners, {
    unit: 'mm',
    stand: false,
    toleranceMm: TOLERANCE,
    holderClearanceMm: CLEARANCE,
    cutters: { version: 1, cutters },
    ...FINISHING_ALONE,
    ...more,
  });
const kinds = (place: Plan['notMilled'][number]): string[] => place.remedies.map(({ kind }) => kind);

// A ball of R 1.5 leaves in an upright corner of radius r on each wall (R - r) of it, less where the rest is thinner than
// the tolerance; a flat end of the same diameter leaves the same and reaches all of the floor's edge but there.
describe.each([
  [0.6, 5],
  [1, 8],
  [1, 22],
])('a pocket with upright corners of R %d, %d mm deep', (radius, depth) => {
  test('its corners are told with the ball that makes them, or EDM where that is too slender', async () => {
    const ring = (z: number) => ({ halfX: 8, halfY: 6, radius, z });
    const plate = shapes.pocketPlate({
      tileX: 26,
      tileY: 22,
      bottomZ: -depth - 8,
      tiles: [[{ rings: [ring(0), ring(-depth)], facets: 16 }]],
    });
    const { plan, files } = await survey(shapes.turned(plate, 13.7), [
      cutter('B3', 3, 1.5),
      cutter('F3', 3, 0),
    ]);
    const corners = plan.notMilled.filter(({ areaMm2 }) => areaMm2 > 0.2 * depth);
    expect(corners).toHaveLength(4);
    for (const place of corners) {
      expect(place).toMatchObject({ kind: 'too-tight', cutterId: null });
      expect(place.depthMm).toBeCloseTo(depth, 3);
      // Its foot along the floor takes no ball at all; most of it is as wide as the corner.
      expect(place.radiusMm).toBe(0);
      const [first] = place.remedies;
      const least = (depth + CLEARANCE) / (2 * radius);
      expect(kinds(place)).toEqual(least <= 10 ? ['ball', 'flat-end'] : ['edm', 'split-insert']);
      if (first.kind !== 'ball') continue;
      expect((first.radiusMm ?? 0) / radius).toBeGreaterThan(0.85);
      // A ball of R in a square corner of r misses its middle by (R - r)(√2 - 1); chords add a little.
      expect(first.radiusMm).toBeLessThan(1.02 * (radius + TOLERANCE / (Math.SQRT2 - 1)));
      // Its holder stays above the rim.
      expect(first.reachMm).toBeCloseTo(depth + CLEARANCE, 3);
      expect(first.lengthToDiameter).toBeCloseTo((first.reachMm ?? 0) / (2 * (first.radiusMm ?? 0)), 9);
    }
    const html = String(files.get('report.html'));
    expect(html.match(/<figure class="place">/g)?.length).toBe(Math.min(12, plan.notMilled.length));
  });
});

describe.each([2.4, 3.2])('a slot %d wide, deeper than a slender ball reaches', (width) => {
  const depth = 24,
    length = 12;
  test('a larger ball gets into most of it', async () => {
    const slot = shapes.turned(shapes.throughSlot(width, depth, length), 17.3);
    const { plan } = await survey(slot, [cutter('B10', 10, 5), cutter('B1', 1, 0.5)], {
      ladderRule: 'largest-first',
      firstCutterShare: 0.1,
      mostLengthToDiameter: 12,
    });
    const place = plan.notMilled.find(({ kind }) => kind === 'too-deep');
    expect(place).toMatchObject({ cutterId: 'B1', placeId: 0 });
    // Both walls and the floor, but for the ball's own foot.
    expect(place?.areaMm2).toBeGreaterThan((2 * (depth - 1) + width - 2) * length);
    expect(kinds(place as Plan['notMilled'][number])).toEqual(['ball', 'edm', 'split-insert']);
    const [ball] = place?.remedies ?? [];
    expect((ball.radiusMm ?? 0) / (width / 2)).toBeCloseTo(1, 1);
    expect(ball.lengthToDiameter).toBeLessThan(12);
    // Nothing that B1 gets into may be left to it: that it is too slender is why it is not used.
    expect(plan.ladderLeftOut).toMatchObject([{ cutterId: 'B1', reason: 'too-slender' }]);
    expect(plan.ladderLeftOut[0].detail).toMatch(
      / takes a stickout of 24\.\d mm, 24\.\d × DC; the set-up allows 12 × DC$/,
    );
  });
});

test('a cutter that is too short: how long it must be', async () => {
  const pocket = shapes.boxPocket({ width: 16, length: 12, depth: 20, land: 20 });
  const { plan } = await survey(pocket, [cutter('B6', 6, 3, 12)]);
  const short = plan.notMilled.filter(({ kind }) => kind === 'too-short');
  expect(short.length).toBeGreaterThan(0);
  const deepest = Math.max(...short.map(({ stickoutMm }) => stickoutMm ?? 0));
  expect(deepest).toBeGreaterThan(20 + CLEARANCE - 1e-6);
  expect(deepest).toBeLessThan(20 + CLEARANCE + sqrt(2 * 3 * TOLERANCE) + 0.05);
  for (const { remedies, stickoutMm, cutterId } of short) {
    expect(cutterId).toBe('B6');
    expect(remedies).toMatchObject([{ kind: 'longer-cutter', reachMm: stickoutMm }]);
  }
});

test('undercuts that are closed all round, and what they hide: no other set-up, a side action', async () => {
  const spec = { neck: 6, lip: 3, width: 12, depth: 8, length: 20 };
  const { plan, files } = await survey(shapes.turned(shapes.tSlot(spec), 17.3), [cutter('B4', 4, 2)]);
  expect(plan.waysUp.second).toBeNull();
  const unseen = plan.notMilled.filter(({ kind }) => kind === 'undercut' || kind === 'hidden');
  const area = unseen.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);
  expect(area).toBeCloseTo(plan.classes.undercut.areaMm2 + plan.classes.hidden.areaMm2, 6);
  expect(area).toBeGreaterThan(2 * 3 * 20);
  for (const place of unseen) {
    expect(place).toMatchObject({ isRegion: true, radiusMm: null, cutterId: null });
    expect(kinds(place)).toEqual(['side-action']);
  }
  expect(
    reportRows(String(files.get('report.html')), `${plan.notMilled.length} places, `)[0]['what would'],
  ).toContain('side action');
});

// The middle of what is left in a square corner lies on one of its walls: a plane along that wall shows nothing of it.
test.each([0, 90])(
  'pictures of sharp corners show them, walls along the axes, turned by %d degrees',
  async (deg) => {
    const corners = shapes.turned(shapes.boxPocket({ width: 20, length: 14, depth: 6, land: 8 }), deg);
    const { plan, files } = await survey(corners, [cutter('B4', 4, 2), cutter('F4', 4, 0)]);
    const sharp = plan.notMilled.filter(({ kind }) => kind === 'too-tight');
    expect(sharp.length).toBeGreaterThanOrEqual(4);
    const marks = [...String(files.get('report.html')).matchAll(/<path d="([^"]*)" class="mark"/g)];
    expect(marks.length).toBe(plan.notMilled.length);
    for (const [, path] of marks) expect(path).toMatch(/^M.*L/);
  },
);

test('a dome: everything is made', async () => {
  const { plan, files } = await survey(shapes.hemisphere(10, 48), [cutter('B4', 4, 2), cutter('F4', 4, 0)]);
  expect(plan.notMilled.filter(({ areaMm2 }) => areaMm2 > PI)).toEqual([]);
  expect(plainText(String(files.get('report.html')))).toContain('What milling does not make');
});

test('a cutter that is meant for roughing alone finishes nothing', async () => {
  const rough = { ...cutter('F10', 10, 0), stages: ['rough' as const] };
  const ball = { ...cutter('B8', 8, 4), stages: ['rough' as const] };
  const { plan } = await survey(shapes.boxPocket({ width: 20, length: 16, depth: 4, land: 8 }), [
    rough,
    ball,
    cutter('B4', 4, 2),
  ]);
  expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['B4']);
  expect(plan.reach.byCutter).toEqual([]);
  expect(plan.ladderLeftOut.map(({ cutterId, reason, detail }) => [cutterId, reason, detail])).toEqual([
    ['F10', 'not-for-finishing', 'its stages are rough'],
    ['B8', 'not-for-finishing', 'its stages are rough'],
  ]);
});

import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import { compensatedSum } from '../../src/core/sum.js';
import type { Plan } from '../../src/plan/plan.js';
import { SETUP_DEFAULTS, type SetupFile } from '../../src/resolve-setup.js';
import type * as ladder from '../../src/time/ladder.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { abs, acos, PI, sqrt } = Math;
const TOLERANCE = 0.005;
const within = (radius: number): number => sqrt(2 * radius * TOLERANCE + TOLERANCE * TOLERANCE);
interface Tool {
  readonly id: string;
  readonly DC: number;
  readonly RE: number;
  readonly APMX: number;
  readonly LU: number;
  readonly NOF: number;
  readonly holder?: { diameterMm: number; lengthMm: number }[];
}
const cutter = (id: string, DC: number, RE: number): Tool => ({ id, DC, RE, APMX: 16, LU: 60, NOF: 2 });
const B4 = cutter('B4', 4, 2),
  B8 = cutter('B8', 8, 4),
  F10 = cutter('F10', 10, 0),
  F6 = cutter('F6', 6, 0),
  N10 = cutter('N10', 10, 2),
  N6 = cutter('N6', 6, 1);
/** Some shapes are surveyed more than once. */
const last = lastAnswers();
const survey = async (corners: Float64Array, cutters: Tool[], more: SetupFile = {}) => {
  const setup: SetupFile = {
    cutters: { version: 1, cutters },
    toleranceMm: TOLERANCE,
    // On parts as small as these none saves much.
    leastGainMinutes: 0,
    ...FINISHING_ALONE,
    ...more,
  };
  const found = await surveyShape(corners, setup, last);
  expectCovered(found.plan);
  return found;
};

/** Whatever the ladder, finishing runs over all but what its last cutter leaves. */
function expectCovered({ regions, stages, ladder }: Plan): void {
  const isMachinable = (cls: string): boolean => ['level', 'shallow', 'overlap', 'steep'].includes(cls);
  const machinable = compensatedSum(
    regions.map((region) => (isMachinable(region.class) ? region.areaMm2 : 0)),
  );
  const covered = compensatedSum(stages.map(({ areaMm2 }) => areaMm2 ?? 0));
  expect(covered).toBeGreaterThan(0.99 * (machinable - (ladder.at(-1)?.unreachedAreaMm2 ?? 0)));
}

const expectShare = (found: number | null | undefined, expected: number, share: number): void =>
  expect(abs((found ?? NaN) / expected - 1), `${found}, expected ${expected}`).toBeLessThanOrEqual(share);

const lines = (csv: Uint8Array | string | undefined): string[][] =>
  String(csv)
    .trim()
    .split('\r\n')
    .map((line) => line.split(','));

const [WIDTH, LENGTH, DEPTH, LAND] = [40, 30, 12, 8];
const pocket = (): Float64Array =>
  shapes.turned(shapes.boxPocket({ width: WIDTH, length: LENGTH, depth: DEPTH, land: LAND }), 17.3);

describe('a box pocket, sharp all round', () => {
  let plan: Plan, files: ReadonlyMap<string, Uint8Array | string>;
  beforeAll(async () => {
    ({ plan, files } = await survey(pocket(), [B4, B8, F10, N10]));
  });
  const leftBy = (id: string) =>
    plan.reach.byCutter.find(({ cutterId }) => cutterId === id)?.unreachedAreaMm2;

  // A square of side r less the quarter disc in it: (4 - π) r² over four corners; the tolerance grows the disc, whose arc
  // then leaves the square's sides at the angle acos(r / R).
  const inCorners = (r: number): number => {
    const R = r + TOLERANCE;
    return 4 * (r * r - r * sqrt(R * R - r * r) - (R * R * (PI / 2 - 2 * acos(r / R))) / 2);
  };
  test('a flat end leaves (4 - π) r² of the floor, and of the walls strips as wide as r in the corners', () => {
    expectShare(inCorners(5), (4 - PI) * 25, 0.02);
    expectShare(leftBy('F10'), inCorners(5) + 8 * (5 - within(5)) * DEPTH, 0.002);
  });

  // Two planes at a right angle: strips of RE on both, less where rest is thinner than the tolerance, √(2 RE t).
  test('a bull-nose leaves a strip of RE along the foot of the walls, on floor and wall', () => {
    const corner = 5 - within(5),
      foot = 2 - within(2);
    const walls = [WIDTH, LENGTH].reduce(
      (sum, side) => sum + 2 * (side * DEPTH - (side - 2 * corner) * (DEPTH - foot)),
      0,
    );
    const strips = WIDTH * LENGTH - (WIDTH - 2 * foot) * (LENGTH - 2 * foot);
    expectShare(leftBy('N10'), walls + strips + (4 - PI) * (5 - 2) ** 2, 0.02);
  });

  test('floors, land and walls are milled; the ball has the corners', () => {
    const roles = [
      ['F10', 'floors and walls'],
      ['B4', 'passes'],
    ];
    expect(plan.ladder.map(({ cutterId, role }) => [cutterId, role])).toEqual(roles);
    const [heads, ...cutters] = lines(files.get('cutters.csv'));
    const [id, role] = ['cutterId', 'role'].map((head) => heads.indexOf(head));
    expect(cutters.map((cells) => [cells[id], cells[role]])).toEqual(roles);
    const [mill, ball] = plan.ladder;
    const [floors] = plan.passes.floors,
      [walls] = plan.passes.walls;
    expect([floors.cutterId, walls.cutterId]).toEqual(['F10', 'F10']);
    expect(floors.spacingMm).toBe(0.7 * 10);
    expect(walls.spacingMm).toBe(0.5 * 16);
    const land = (WIDTH + 2 * LAND) * (LENGTH + 2 * LAND) - WIDTH * LENGTH;
    expectShare(floors.areaMm2, WIDTH * LENGTH + land - inCorners(5), 1e-3);
    // Two rounds of the four walls, 8 mm apart, of 12 mm; the corners are left.
    const reached = 2 * (WIDTH + LENGTH) - 8 * (5 - within(5));
    expectShare(walls.areaMm2, reached * DEPTH, 1e-3);
    expectShare(walls.pathLengthMm, 2 * reached, 0.002);
    expect(walls.passCount).toBeCloseTo(2 * plan.passes.walls.length, 9);
    expect(mill.minutes).toBeCloseTo(floors.minutes + walls.minutes, 9);
    expect(plan.passes.waterline.areaMm2 + plan.passes.raster.areaMm2).toBe(0);
    // Upright corners, less the foot that the ball rounds there: no more than its section along 5 mm of both walls.
    const upright = 4 * (1 - PI / 4) * (25 - 4) * DEPTH,
      foot = 8 * 5 * (1 - PI / 4) * 4;
    expect(ball.restVolumeMm3).toBeLessThan(1.02 * upright);
    expect(ball.restVolumeMm3).toBeGreaterThan(0.98 * (upright - foot));
    // Common practice: a few minutes in place of an hour.
    expect(plan.time.totalMinutes).toBeLessThan(10);
    expect(String(files.get('outlines.svg'))).toContain('id="cutter-F10-floors-contact"');
  });
});

// An upright corner takes a shaft thinner than the mill's, whatever their borders differ by.
test.each([8, 12])('a ball of %d mm has nothing to clean where a mill of 8 mm has been', async (DC) => {
  const tilted = shapes.boxPocket({ width: 36, length: 28, depth: 9, land: 6, tiltDeg: 5 });
  const { plan } = await survey(shapes.turned(tilted, 17.3), [
    cutter('B', DC, DC / 2),
    cutter('B3', 3, 1.5),
    cutter('F8', 8, 0),
  ]);
  expect(plan.stages.filter(({ cutterId }) => cutterId === 'B').map(({ kind }) => kind)).toEqual(['raster']);
  const { areaMm2, minutes } = plan.stages.find(
    ({ cutterId, kind }) => cutterId === 'B3' && kind === 'corners',
  )!;
  expect(areaMm2).toBeGreaterThan(0);
  const rungs = plan.ladder.reduce((sum, rung) => sum + rung.minutes, 0);
  expect(plan.stages.reduce((sum, stage) => sum + stage.minutes, 0)).toBeCloseTo(rungs, 9);
  expect(minutes).toBeCloseTo(plan.ladder.at(-1)!.minutes, 9);
  const work = plan.regions.flatMap((region) => region.work);
  expect(compensatedSum(work.map((one) => one.minutes))).toBeCloseTo(rungs, 9);
});

// A larger mill reaches the rims of bores, one of the ball's own shaft is too short for them: they are the ball's. Upright
// cylinders, 2 pi r h.
test.each([
  [2.5, 12],
  [3.1, 16],
])(
  'bores of radius %d, %d deep, for which the thinner mill is too short, are cut by the ball',
  async (r, h) => {
    const rings = [0, -h].map((z) => ({ halfX: r, halfY: r, radius: r, z }));
    const bore = { facets: 6, through: true, rings };
    // Its corners and walls are the thinner mill's.
    const pocket = { facets: 6, rings: [0, -3].map((z) => ({ halfX: 18, halfY: 18, radius: 2.5, z })) };
    const corners = shapes.pocketPlate({ tileX: 45, tileY: 45, bottomZ: -h, tiles: [[bore, bore, pocket]] });
    const holder = [{ diameterMm: 30, lengthMm: 40 }];
    const { plan } = await survey(
      shapes.turned(corners, 23),
      [
        { ...cutter('B4', 4, 2), holder },
        { ...cutter('F4', 4, 0), APMX: 4, LU: h / 2, holder },
        { ...cutter('F16', 16, 0), holder },
      ],
      // So that the larger mill pays.
      { toleranceMm: 0.02, machine: { ...SETUP_DEFAULTS.machine, toolChangeSeconds: 0 } },
    );
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['F16', 'F4', 'B4']);
    const walls = 2 * 2 * PI * r * h;
    const ofBall = plan.stages.filter(({ cutterId }) => cutterId === 'B4');
    const areaMm2 = compensatedSum(ofBall.map((stage) => stage.areaMm2 ?? 0));
    expectShare(areaMm2, walls, 0.03);
    const finished = plan.regions.filter(({ cutterId }) => cutterId === 'B4');
    expectShare(compensatedSum(finished.map(({ areaMm2 }) => areaMm2)), walls, 0.03);
  },
);

// On the land it reaches what the longer one does and more, on the pocket's floor nothing.
test.each([
  [9, 3],
  [14, 2],
])(
  'pocket %d deep: a thinner mill, too short for its floor, does not stand for a longer one',
  async (h, RE) => {
    const holder = [{ diameterMm: 30, lengthMm: 40 }];
    const corners = shapes.turned(shapes.boxPocket({ width: 26, length: 22, depth: h, land: 7 }), 31);
    const long = [
      { ...cutter('B', 2 * RE, RE), holder },
      { ...cutter('F8', 8, 0), holder },
    ];
    const thin = { ...cutter('F4', 4, 0), APMX: 4, LU: h / 2, holder };
    const [{ plan }, without] = [await survey(corners, [...long, thin]), await survey(corners, long)];
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['F8', 'B']);
    const listed = ({ reach: { leftover, crumbs } }: Plan): number =>
      compensatedSum([...leftover, crumbs].map(({ areaMm2 }) => areaMm2));
    expectShare(listed(plan), listed(without.plan), 1e-3);
    expectShare(plan.ladder.at(-1)?.unreachedAreaMm2, listed(plan), 1e-3);
  },
);

const slot = (): Float64Array => shapes.turned(shapes.throughSlot(12, 8, 16), 17.3);

test('left to balls, all is as if the catalogue had none but balls', async () => {
  const balls = await survey(slot(), [B4, B8]);
  const asked = await survey(slot(), [B4, B8, F10, N10], { floors: 'ball', walls: 'ball' });
  for (const key of ['passes', 'ladder', 'ladderSecond', 'split', 'time'] as const)
    expect(asked.plan[key]).toEqual(balls.plan[key]);
});

test('only walls, only floors', async () => {
  const kinds = async (more: SetupFile) => {
    const { passes } = (await survey(slot(), [B4, F10], more)).plan;
    return [passes.floors.length, passes.walls.length];
  };
  expect(await kinds({ floors: 'ball' })).toEqual([0, 1]);
  expect(await kinds({ walls: 'ball' })).toEqual([1, 0]);
});

test('where mills finish all no split is the fastest', async () => {
  const { plan } = await survey(slot(), [B4, F10]);
  expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['F10']);
  expect(plan.split).toMatchObject({
    fastestDeg: null,
    curve: plan.split.curve.map(({ angleDeg }) => ({ angleDeg, minutes: 0 })),
  });
});

// A sphere is level at its pole and upright at its equator, and neither floor nor wall.
test('what bends is left to balls', async () => {
  const { plan } = await survey(shapes.hemisphere(10, 48), [B8, F10]);
  expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['B8']);
  expect(plan.ladderLeftOut.map(({ cutterId, reason }) => [cutterId, reason])).toEqual([['F10', 'no-ball']]);
});

// All subsets of six cutters, each timed as the survey times them: straight from the definition.
describe('all subsets of six cutters', () => {
  const LADDER = '../../src/time/ladder.js';
  let listened: typeof surveyShape;
  const asked = vi.fn<typeof ladder.chooseSteps>();
  // Files share what they import: what listens in is imported anew, and forgotten.
  beforeAll(async () => {
    vi.resetModules();
    vi.doMock(LADDER, async (original) => {
      const real = await original<typeof ladder>();
      return { ...real, chooseSteps: asked.mockImplementation(real.chooseSteps) };
    });
    ({ surveyShape: listened } = await import('../support/pipeline.js'));
  });
  afterAll(() => {
    vi.doUnmock(LADDER);
    vi.resetModules();
  });

  test.each([
    ['a box pocket', pocket],
    ['a through slot', slot],
    [
      'two slots',
      () =>
        shapes.joined(shapes.throughSlot(7, 6, 20), shapes.moved(shapes.throughSlot(14, 9, 20), [40, 0, 0])),
    ],
  ])('%s: the ladder is the best of them', async (_name, shape) => {
    asked.mockClear();
    const { plan } = await listened(shape(), {
      cutters: { version: 1, cutters: [B4, B8, F10, F6, N10, N6] },
      toleranceMm: TOLERANCE,
      firstCutterShare: 0,
      ...FINISHING_ALONE,
    });
    const [candidates, options] = asked.mock.calls[0];
    expect(candidates).toHaveLength(6);
    const leftBy = (some: readonly number[], how: 'left' | 'larger' = 'left'): Float64Array =>
      options.areas.map((_area, f) => Math.min(...some.map((at) => candidates[at][how][f])));
    const areaOf = (left: Float64Array): number =>
      compensatedSum(left.map((share, f) => share * options.areas[f]));
    const least = areaOf(leftBy([0, 1, 2, 3, 4, 5]));
    const jobs = Array.from({ length: 64 }, (_none, subset) =>
      [0, 1, 2, 3, 4, 5].filter((at) => subset & (1 << at)),
    ).filter((run) => areaOf(leftBy(run)) - least <= options.leastGainMm2);
    const minutes = jobs.map((run) =>
      run.reduce((sum, at, i) => {
        const earlier = run.slice(0, i),
          share = leftBy(earlier);
        const left = { share, larger: leftBy(earlier, 'larger'), faces: Uint32Array.from(share.keys()) };
        const before = i === 0 ? null : left;
        return sum + options.toolChangeMinutes + options.minutes(before, at, earlier);
      }, 0),
    );
    expect(jobs.length).toBeGreaterThan(1);
    expect(plan.time.totalMinutes).toBeCloseTo(Math.min(...minutes), 6);
    const work = plan.regions.flatMap((region) => region.work);
    for (const rung of plan.ladder) {
      const own = work.filter(({ cutterId }) => cutterId === rung.cutterId);
      expect(compensatedSum(own.map((one) => one.minutes))).toBeCloseTo(rung.minutes, 9);
    }
  });
});

import { beforeAll, describe, expect, test } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import type { Plan } from '../../src/plan/plan.js';
import { resolveSetup, SETUP_DEFAULTS, type Setup } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { ringArea } from '../../src/outlines/ring-measures.js';
import { refusalOf } from '../support/refusal.js';
import * as shapes from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import { plainBox } from '../stages/field.js';

const [W, L, D] = [36, 28, 9];
const PART = shapes.moved(shapes.boxPocket({ width: W, length: L, depth: D, land: 6 }), [50, 20, 3]);
const balls = DEFAULT_CATALOGUE.filter(({ DC }) => DC === 4 || DC === 10);
const flat = { ...balls[1], id: 'flat-12', DC: 12, DN: 12, DMM: 12, RE: 0, stages: ['rough' as const] };

/** Most look at one part, which reach is asked about once. */
const last = lastAnswers();
const surveyed = async (change: Partial<Setup>): Promise<Plan> => (await wholeSurvey(change)).plan;
const wholeSurvey = (change: Partial<Setup>, part = PART) => {
  const setup: Setup = {
    ...SETUP_DEFAULTS,
    unit: 'mm',
    radiiMm: [2, 5],
    cutters: [...balls, flat],
    ...change,
  };
  return surveyPart(binaryStl(part), 'pocket.stl', setup, { last });
};
const ofKind = ({ stages }: Plan, ...kinds: Plan['stages'][number]['kind'][]) =>
  stages.filter(({ kind }) => kinds.includes(kind));

describe('a box pocket from its block to the finished part', () => {
  let plan: Plan;
  beforeAll(async () => {
    plan = await surveyed({ blockAllowanceMm: [2, 1.5], floors: 'ball', walls: 'ball' });
  });

  test('the block is the box with its allowances, less the part', () => {
    const { block } = plan;
    expect(block.boundsMm.max.map((high, k) => high - block.boundsMm.min[k])).toEqual([
      W + 12 + 3,
      L + 12 + 3,
      D + 10 + 2,
    ]);
    const box = (W + 15) * (L + 15) * (D + 12),
      part = (W + 12) * (L + 12) * (D + 10) - W * L * D;
    expect(Math.abs(block.toRemoveMm3 / (box - part) - 1)).toBeLessThan(0.005);
  });

  test('what was taken and what is left make the block, stage by stage; slices add up', () => {
    const early = ofKind(plan, 'rough', 'rest-rough', 'semi-finish', 'semi-corners');
    expect(early.length).toBeGreaterThan(1);
    let taken = 0;
    for (const { volumeMm3, leftMm3, slices } of early) {
      taken += volumeMm3!;
      expect(Math.abs((taken + leftMm3!) / plan.block.toRemoveMm3 - 1)).toBeLessThan(1e-3);
      const sliced = slices.reduce((sum, slice) => sum + slice.volumeMm3, 0);
      if (slices.length > 0) expect(Math.abs(sliced / volumeMm3! - 1)).toBeLessThan(1e-3);
    }
  });

  test('roughing takes all that a flat end can, less stock on floor and walls', () => {
    const [rough] = ofKind(plan, 'rough');
    expect(rough.cutterId).toBe('flat-12');
    const s = rough.stockLeftMm;
    expect(s).toBeCloseTo(0.03 * 12, 9);
    // Over the land and beside it all goes but the stock; in the pocket (4 - π) r² stay in the corners.
    const inPocket = ((W - 2 * s) * (L - 2 * s) - (4 - Math.PI) * 36) * D;
    const over = (W + 15) * (L + 15) * (2 - s);
    const beside = ((W + 15) * (L + 15) - (W + 12 + 2 * s) * (L + 12 + 2 * s)) * (D + 10 + s);
    expect(Math.abs(rough.volumeMm3! / (inPocket + over + beside) - 1)).toBeLessThan(0.01);
    const outline = rough.rings.reduce((sum, ring) => sum + ringArea(Float64Array.from(ring.flat())), 0);
    expect(outline / rough.areaMm2).toBeCloseTo(1, 3);
    expect(outline / ((W + 15) * (L + 15))).toBeCloseTo(1, 1);
  });

  test('minutes of finishing are those of ladder and passes, each stage in its place', () => {
    const { ladder, passes, time, operations, stages } = plan;
    const finishing = ofKind(plan, 'floors', 'walls', 'waterline', 'raster', 'corners');
    const sum = (some: readonly { readonly minutes: number }[]): number =>
      some.reduce((all, { minutes }) => all + minutes, 0);
    expect(sum(finishing)).toBeCloseTo(time.finishingMinutes, 9);
    expect(sum(ofKind(plan, 'waterline'))).toBeCloseTo(passes.waterline.minutes, 9);
    for (const { cutterId, minutes } of ladder)
      expect(sum(finishing.filter((stage) => stage.cutterId === cutterId))).toBeCloseTo(minutes, 9);
    expect(sum(stages)).toBeCloseTo(operations.cuttingMinutes, 9);
    expect(operations.totalMinutes).toBeCloseTo(operations.cuttingMinutes + operations.toolChangeMinutes, 9);
    expect(sum(plan.crib)).toBeCloseTo(operations.cuttingMinutes, 9);
    const kinds = stages.map(({ kind }) => kind);
    expect([...kinds].sort((a, b) => ORDER.indexOf(a) - ORDER.indexOf(b))).toEqual(kinds);
    stages.forEach(({ beforeCutterId }, i) => expect(beforeCutterId).toBe(stages[i - 1]?.cutterId ?? null));
    for (const { cutterId, stickoutMm, stageIds } of plan.crib)
      expect(Math.max(...stageIds.map((id) => stages[id].stickoutMm ?? 0)), cutterId).toBe(stickoutMm);
  });

  test('a rougher sticks out at least as far as the pocket is deep below the land', () => {
    const [{ stickoutMm }] = ofKind(plan, 'rough');
    expect(stickoutMm!).toBeGreaterThan(D - 0.4);
  });

  const ORDER: readonly Plan['stages'][number]['kind'][] = [
    'rough',
    'rest-rough',
    'semi-finish',
    'semi-corners',
    'floors',
    'walls',
    'waterline',
    'raster',
    'corners',
  ];
});

// All of the pocket is level or upright: what balls have to do is in its corners.
test('floors and walls that a mill finishes are not semi-finished, and meet what roughing left', async () => {
  const mill = { ...flat, id: 'flat-8', DC: 8, DN: 8, DMM: 8, stages: ['finish' as const] };
  const cutters = [...balls.filter(({ DC, RE }) => 2 * RE === DC), flat, mill];
  const { plan, files } = await wholeSurvey({ cutters });
  // Walls have no width: their lines in plan are the pocket's rectangle, and no side of them is work.
  const [, sides, d] = /cutter-flat-8-walls-outline"[^>]* data-rings="([^"]*)" d="([^"]*)"/.exec(
    String(files.get('outlines.svg')),
  )!;
  expect(new Set(sides.split(' '))).toEqual(new Set(['along']));
  const numbers = [...d.matchAll(/-?[\d.]+/g)].map(Number);
  for (const [k, size, middle] of [
    [0, W, 50],
    [1, L, -20],
  ]) {
    const own = numbers.filter((_, i) => i % 2 === k);
    expect(Math.max(...own) - Math.min(...own)).toBeCloseTo(size, 2);
    expect(Math.max(...own) + Math.min(...own)).toBeCloseTo(2 * middle, 2);
  }
  expect(String(files.get('outlines.dxf'))).toContain(
    'border of the walls along which the cutter runs; walls with flat-8',
  );
  const [rough] = ofKind(plan, 'rough');
  for (const kind of ['floors', 'walls'] as const) {
    const [own] = ofKind(plan, kind);
    expect(own.cutterId).toBe('flat-8');
    expect(own.meets?.takesMm).toBe(rough.stockLeftMm);
    const { greatestMm, meanMm } = own.meets!,
      s = rough.stockLeftMm;
    // On floors the stock; in corners, between two arcs that touch both walls, s apart, (√2 - 1) (R - r) + √2 s more.
    const exact = kind === 'floors' ? s : (Math.SQRT2 - 1) * (6 - 4) + Math.SQRT2 * s;
    expect(Math.abs(greatestMm - exact)).toBeLessThan(kind === 'floors' ? 0.01 : 1.5 * plan.block.pitchMm);
    // Along walls a strip s wide and (4 - π) (R² - r²) in the corners, over walls that end r before each corner.
    const strip = 2 * s * (W + L) - 4 * s * s + (4 - Math.PI) * (6 ** 2 - 4 ** 2);
    const mean = kind === 'floors' ? s : strip / (2 * (W + L) - 8 * 4);
    expect(Math.abs(meanMm / mean - 1)).toBeLessThan(0.06);
  }
  const semi = ofKind(plan, 'semi-finish', 'semi-corners');
  expect(semi.reduce((sum, { areaMm2 }) => sum + areaMm2, 0)).toBeLessThan(0.01 * W * L);
  const all = await surveyed({ cutters, floors: 'ball', walls: 'ball' });
  expect(ofKind(all, 'semi-finish')[0].areaMm2).toBeGreaterThan(W * L);
});

// The rougher leaves a strip along the walls, as high as they are: the mill takes it, or each ball beside them.
test('walls are milled before balls semi-finish the floor between them, which is tilted', async () => {
  const tilted = shapes.boxPocket({ width: W, length: L, depth: D, land: 6, tiltDeg: 4 });
  const mill = { ...flat, id: 'flat-8', DC: 8, DN: 8, DMM: 8, stages: ['finish' as const] };
  const cutters = [...balls.filter(({ DC, RE }) => 2 * RE === DC), flat, mill];
  const { plan } = await wholeSurvey({ cutters }, tilted);
  const kinds = plan.stages.map(({ kind }) => kind);
  expect(kinds.indexOf('walls')).toBeLessThan(kinds.indexOf('semi-finish'));
  expect(kinds.indexOf('semi-finish')).toBeLessThan(kinds.indexOf('raster'));
  const [rough] = ofKind(plan, 'rough'),
    [semi] = ofKind(plan, 'semi-finish');
  // What is gone by then beyond what roughers and the ball took is the mill's: that strip, but for its foot.
  const strip = rough.stockLeftMm * 2 * (W + L) * D,
    [last] = ofKind(plan, 'rough', 'rest-rough').slice(-1);
  expect(last.leftMm3! - semi.volumeMm3! - semi.leftMm3!).toBeGreaterThan(0.7 * strip);
});

test('cutters as asked for; nothing roughed and nothing semi-finished leaves finishing alone', async () => {
  const asked = await surveyed({ rough: ['flat-12'], semi: ['ball-10', 'ball-4'], roughStockMm: 0.7 });
  expect(asked.stages.slice(0, 3).map(({ kind, cutterId }) => `${kind} ${cutterId}`)).toEqual([
    'rough flat-12',
    'semi-finish ball-10',
    'semi-corners ball-4',
  ]);
  expect(asked.stages[0].stockLeftMm).toBe(0.7);
  const bare = await surveyed({ rough: [], semi: [] });
  expect(bare.stages.every(({ kind }) => !/rough|semi/.test(kind))).toBe(true);
  expect(bare.operations.cuttingMinutes).toBeCloseTo(bare.time.finishingMinutes, 9);
});

test('a block given as a mesh lies where the part does, set-up and all', async () => {
  const { min, max } = shapes.measureSoup(PART);
  const box = shapes.moved(plainBox(max[0] - min[0] + 4, max[1] - min[1] + 4, max[2] - min[2] + 1), [
    (min[0] + max[0]) / 2,
    (min[1] + max[1]) / 2,
    max[2] + 1,
  ]);
  const block = { name: 'blank.stl', cornersMm: [...box] };
  const { block: told, setup } = await surveyed({ block, rough: ['flat-12'], semi: [] });
  expect(told.kind).toBe('mesh');
  expect(setup.block).toEqual({ name: 'blank.stl', triangles: 12 });
  const exact = (W + 16) * (L + 16) * (D + 11) - ((W + 12) * (L + 12) * (D + 10) - W * L * D);
  expect(Math.abs(told.toRemoveMm3 / exact - 1)).toBeLessThan(0.005);
  const moved = { ...block, cornersMm: [...shapes.moved(box, [30, 0, 0])] };
  const info = await refusalOf(surveyed({ block: moved, rough: [], semi: [] }));
  expect(info).toMatchObject({ code: 'block.small', where: 'blank.stl' });
});

test('what cannot be is told in one line', async () => {
  const small = resolveSetup(undefined, { block: [10, 10, 10] }).block;
  expect((await refusalOf(surveyed({ block: small, rough: [], semi: [] }))).code).toBe('block.small');
  expect(await refusalOf(surveyed({ rough: ['ball-4'] }))).toMatchObject({
    code: 'option.rough',
    where: '--rough',
    remedy: 'name one of flat-12',
  });
  expect(await refusalOf(surveyed({ semi: ['flat-12'] }))).toMatchObject({ code: 'option.semi' });
});

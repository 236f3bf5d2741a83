/** Parts made from seeds: that they are solids, that what is checked of them can fail, and a small part of `verify --seeds`. */
import { beforeAll, describe, expect, test } from 'vitest';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import type { Plan } from '../../src/plan/plan.js';
import { checkMade, TURNED, type MadeChecked } from './made/check-made.js';
import { likenessBreaks } from './made/likeness.js';
import { FAMILIES } from './made/families.js';
import { madePart } from './made/made-part.js';
import { areaOf, planeBreaks } from './made/planes.js';
import { assembled, bar, box, sunk } from './made/solids.js';
import { sumBreaks } from './made/sums.js';

const SEED = 30;
const cutters = DEFAULT_CATALOGUE.filter(({ id }) => ['ball-4', 'flat-6'].includes(id));
const CHOICE = {
  points: 40,
  columns: 0,
  others: [TURNED],
  options: { cutters, radiiMm: [1, 2], semi: [], toleranceMm: 0.05 },
};

/** Volume by the divergence theorem, and whether each edge has its opposite as often. */
function solidity(corners: Float64Array): { readonly volumeMm3: number; readonly isClosed: boolean } {
  const edges = new Map<string, number>();
  let volumeMm3 = 0;
  for (let i = 0; i < corners.length; i += 9) {
    const [ax, ay, az, bx, by, bz, cx, cy, cz] = corners.subarray(i, i + 9);
    volumeMm3 += (ax * (by * cz - bz * cy) - ay * (bx * cz - bz * cx) + az * (bx * cy - by * cx)) / 6;
    const points = [`${ax} ${ay} ${az}`, `${bx} ${by} ${bz}`, `${cx} ${cy} ${cz}`];
    points.forEach((p, k) => {
      const q = points[(k + 1) % 3];
      const [key, sign] = p < q ? [`${p}|${q}`, 1] : [`${q}|${p}`, -1];
      edges.set(key, (edges.get(key) ?? 0) + sign);
    });
  }
  return { volumeMm3, isClosed: [...edges.values()].every((sum) => sum === 0) };
}

describe('made parts', () => {
  test.each(Object.keys(FAMILIES).map((name, seed) => [name, seed]))(
    '%s: closed, and alike again',
    (_, seed) => {
      const part = madePart(Number(seed));
      const corners = part.corners(0.25);
      const { volumeMm3, isClosed } = solidity(corners);
      expect(isClosed).toBe(true);
      expect(volumeMm3).toBeGreaterThan(0.2 * part.blank.sizeX * part.blank.sizeY * part.blank.height);
      expect(madePart(Number(seed)).corners(0.25)).toEqual(corners);
    },
  );

  // A block of 30 x 20 x 10, a bore of R 4 with 5 deep, a V-groove of 90 degrees 2 deep along one half of it. The bore's
  // facets lie inside the circle: less than their share of the volume is missing.
  test('pieces are cut where they are said to lie', () => {
    const bore = { outline: { halfX: 4, halfY: 4, radius: 4, centre: [9, 0] as const }, beyondMm: 1 };
    const groove = [
      [-2, 0, 0],
      [0, -2, 0],
      [2, 0, 0],
    ] as const;
    const pieces = [
      box(30, 20, -10, 0),
      sunk(
        {
          ...bore,
          corners: [
            [0, 0, 0],
            [0, -5, 0],
          ],
        },
        4,
      ),
      bar('cut', { corners: groove, closedAtMm: 1, lengthMm: 40, middle: [-7, 0] }, 1),
    ];
    const expected = 30 * 20 * 10 - Math.PI * 16 * 5 - 4 * 20;
    expect(solidity(assembled(pieces)).volumeMm3 / expected).toBeCloseTo(1, 3);
  });
});

type Mutable<T> = { -readonly [K in keyof T]: Mutable<T[K]> };
type Change = (plan: Mutable<Plan>) => void;

describe(`seed ${SEED}`, () => {
  let checked: MadeChecked;
  beforeAll(async () => {
    checked = await checkMade(SEED, CHOICE);
  });

  test('all holds', () => expect(checked.breaks).toEqual([]));

  const spoilt = (change: Change): Plan => {
    const plan = structuredClone(checked.plan) as Mutable<Plan>;
    change(plan);
    return plan as Plan;
  };
  const told = (plan: Plan): string[] =>
    sumBreaks(plan, areaOf(checked.part.corners().map(Math.fround))).map(({ invariant }) => invariant);

  test.each<[string, Change]>([
    ['schema', (plan) => (plan.mesh.triangles = -1)],
    ['area of the mesh', (plan) => (plan.mesh.areaMm2 *= 1.001)],
    ['areas of classes', (plan) => (plan.classes.level.areaMm2 += 1e-3)],
    [
      'area of regions, level',
      (plan) =>
        plan.regions.splice(
          plan.regions.findIndex((one) => one.class === 'level'),
          1,
        ),
    ],
    ['finished and left', (plan) => (plan.ladder[0].finishedAreaMm2 += 0.1)],
    ['finished', (plan) => (plan.ladder[0].finishedAreaMm2 = -0.1)],
    ['left and listed', (plan) => (plan.reach.crumbs.areaMm2 += 10)],
    ['too tight, told', (plan) => (plan.reach.leftover[0].areaMm2 += 1)],
    ['unreached falls', (plan) => (plan.reach.byRadius[0].unreachedAreaMm2 += 1e4)],
    ['rest falls', (plan) => (plan.reach.byRadius[0].restVolumeMm3 = 1e6)],
    ['rest beyond the block', (plan) => (plan.reach.byRadius[1].restVolumeMm3 = 1e6)],
    ['rest below 0', (plan) => (plan.reach.byRadius[0].restVolumeMm3 = -1)],
    ['to remove', (plan) => (plan.block.toRemoveMm3 *= 4)],
    ['taken and left, rough 0', (plan) => (plan.stages[0].leftMm3 = 0)],
    ['slices, rough 0', (plan) => plan.stages[0].slices.pop()],
    ['minutes of regions', (plan) => plan.regions.forEach((one) => one.work.pop())],
    ['minutes of the ladder', (plan) => (plan.ladder[0].minutes += 1)],
    ['minutes of passes', (plan) => (plan.passes.raster.minutes += 1e3)],
    ['minutes of finishing stages', (plan) => plan.stages.pop()],
    ['minutes of stages', (plan) => (plan.stages[0].minutes += 1)],
    ['minutes of the crib', (plan) => plan.crib.pop()],
    ['total', (plan) => (plan.time.totalMinutes += 0.1)],
    ['total of stages', (plan) => (plan.operations.totalMinutes += 0.1)],
  ])('%s', (invariant, change) => {
    expect(told(checked.plan as Plan)).toEqual([]);
    expect(told(spoilt(change))).toContain(invariant);
  });

  test.each<[string, Change]>([
    ['turned: area of steep', (plan) => (plan.classes.steep.areaMm2 *= 1.02)],
    ['turned: unreached, R 2', (plan) => (plan.reach.byRadius[1].unreachedAreaMm2 *= 1.1)],
    ['turned: rest, R 2', (plan) => (plan.reach.byRadius[1].restVolumeMm3! *= 1.2)],
    ['turned: finishing minutes', (plan) => (plan.time.totalMinutes += 5)],
    ['turned: minutes of all stages', (plan) => (plan.operations.totalMinutes += 9)],
  ])('%s', (invariant, change) => {
    const likeness = { name: 'turned', share: 0.01, leastShare: 5e-4 };
    expect(likenessBreaks(checked.plan as Plan, checked.plan as Plan, likeness)).toEqual([]);
    expect(likenessBreaks(checked.plan as Plan, spoilt(change), likeness)).toMatchObject([{ invariant }]);
  });

  test('a plane that is read as bowed', () => {
    const { planes } = box(30, 20, -10, 0);
    const corners = assembled([box(30, 20, -10, 0)]);
    const normals = corners.map((_, i) => [0, 0, 1][i % 3]);
    const top = new Float64Array(
      [...Array(corners.length / 9).keys()]
        .map((f) => corners.subarray(9 * f, 9 * f + 9))
        .filter((c) => c[2] === 0 && c[5] === 0 && c[8] === 0)
        .flatMap((c) => [...c]),
    );
    expect(top.length).toBe(18);
    expect(planeBreaks(top, normals, planes)).toEqual([]);
    const [leaning, upright] = [Math.sin(0.02), Math.cos(0.02)];
    expect(
      planeBreaks(
        top,
        normals.map((_, i) => [leaning, 0, upright][i % 3]),
        planes,
      ),
    ).toMatchObject([
      { invariant: 'planes', detail: expect.stringMatching(/^600 mm² bowed by up to 1\.1°/) },
    ]);
  });
});

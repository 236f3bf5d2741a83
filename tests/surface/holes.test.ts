import { describe, expect, test } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import { columnTop } from '../../src/reach/column-top.js';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { roundHoles, type Hole } from '../../src/surface/holes.js';
import { resolveSetup } from '../../src/resolve-setup.js';
import { drilledFacets } from '../../src/survey/hole-list.js';
import { FINISHING_ALONE, readyPart, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { soupOf } from '../support/soup-of.js';
import type { Point2 } from '../support/shapes/soup.js';
import { arc, plateWithFeature } from '../support/shapes/sweeps.js';

function holesOf(corners: Float64Array): Hole[] {
  const { mesh, topology } = prepareMesh(soupOf(corners), { axis: [0, 0, 1], stand: false });
  return roundHoles(mesh, topology, columnTop(buildPartTree(meshFacets(mesh))));
}
/** Block of height 40, top at z = 0, with a revolved hole. */
const drilled = (profile: readonly Point2[], segments: number): Float64Array =>
  plateWithFeature({ side: 60, bottomZ: -40, profile, segments });

// Vertices of the shapes lie on the true circle, so its diameter is known whatever the facets.
const SIDES = [8, 12, 24, 64, 256];
const DIAMETERS = [1.6, 5, 6.8, 20, 42];

describe.each(SIDES)('in %d facets', (segments) => {
  test.each(DIAMETERS)('through and blind, flat, of diameter %d, in every pose', (diameterMm) => {
    for (const through of [true, false]) {
      const corners = shapes.moved(shapes.bore(diameterMm / 2, 30, segments, through), [7, -3, 0]);
      for (const { name, corners: own, scale } of shapes.variants(corners)) {
        const [hole, ...others] = holesOf(shapes.scaled(own, 1 / scale));
        expect(others, name).toEqual([]);
        expect(hole.isThrough, name).toBe(through);
        expect(hole.steps, name).toHaveLength(1);
        expect(Math.abs(hole.steps[0].diameterMm - diameterMm), name).toBeLessThan(0.002);
        expect(Math.abs(hole.steps[0].depthMm - 30), name).toBeLessThan(0.002);
      }
      const [{ x, y, top }] = holesOf(corners);
      expect([x, y, top].map((value) => Number(value.toFixed(6)) + 0)).toEqual([7, -3, 0]);
    }
  });

  test('chamfered or rounded mouth, counterbore, tip of a drill or of a ball', () => {
    // A point angle of 118 degrees is the usual one of twist drills (common practice, no source).
    const tip: Point2[] = [
      [4, -25],
      [0, -25 - 4 / Math.tan((59 * Math.PI) / 180)],
    ];
    const chamfered = holesOf(drilled([[5, 0], [4, -1], ...tip], segments));
    expect(chamfered).toHaveLength(1);
    expect(chamfered[0]).toMatchObject({ isThrough: false });
    expect(chamfered[0].mouthDiameterMm).toBeCloseTo(10, 6);
    expect(chamfered[0].steps[0].depthMm).toBeCloseTo(25, 6);
    const round: Point2[] = arc([6, -2], 2, Math.PI / 2, Math.PI, 5);
    const rounded = holesOf(
      drilled([...round, ...arc([0, -25], 4, 0, -Math.PI / 2, 6).slice(0, -1), [0, -29]], segments),
    );
    expect(rounded).toHaveLength(1);
    expect(rounded[0].mouthDiameterMm).toBeCloseTo(12, 6);
    expect(rounded[0].isThrough).toBe(false);
    const counterbored = holesOf(
      drilled(
        [
          [5.5, 0],
          [5.5, -6],
          [3.3, -6],
          [3.3, -40],
        ],
        segments,
      ),
    );
    expect(counterbored).toHaveLength(1);
    expect(counterbored[0].isThrough).toBe(true);
    expect(counterbored[0].mouthDiameterMm).toBeNull();
    const figures = counterbored[0].steps.flatMap(({ diameterMm, depthMm }) => [diameterMm, depthMm]);
    [11, 6, 6.6, 34].forEach((value, i) => expect(figures[i]).toBeCloseTo(value, 6));
  });
});

// Closed form: walls, level step and bottom, and nothing of the land round the mouth.
test('facets of a hole are its walls, step, bottom and mouth', () => {
  const n = 48,
    corners = drilled(
      [
        [7, 0],
        [6, -1],
        [6, -5],
        [3, -5],
        [3, -20],
        [0, -20],
      ],
      n,
    );
  const { mesh } = readyPart(corners);
  const [{ faces }] = holesOf(corners);
  const area = shapes.measureSoup(
    Float64Array.from(
      faces.flatMap((f) =>
        [0, 1, 2].flatMap((k) => [
          ...mesh.positions.subarray(3 * mesh.triangles[3 * f + k], 3 * mesh.triangles[3 * f + k] + 3),
        ]),
      ),
    ),
  ).area;
  // Of polygons of n sides on those circles: perimeter 2 n r sin(pi / n), area n r² sin(2 pi / n) / 2.
  const perimeter = 2 * n * Math.sin(Math.PI / n),
    polygon = (n / 2) * Math.sin((2 * Math.PI) / n);
  const slant = Math.sqrt(1 + Math.cos(Math.PI / n) ** 2);
  const expected = perimeter * (6.5 * slant + 6 * 4 + 3 * 15) + polygon * 36;
  expect(area / expected).toBeCloseTo(1, 9);
});

const ring = (halfX: number, halfY: number, radius: number, z: number) => ({ halfX, halfY, radius, z });
const pocket = (
  halfX: number,
  halfY: number,
  radius: number,
  facets: number,
  through = false,
): Float64Array =>
  shapes.pocketPlate({
    tileX: 60,
    tileY: 60,
    bottomZ: -20,
    tiles: [
      [
        {
          rings: [ring(halfX, halfY, radius, 0), ring(halfX, halfY, radius, through ? -20 : -12)],
          facets,
          through,
        },
      ],
    ],
  });

test.each([
  ['slot with round ends', pocket(12, 4, 4, 8)],
  ['slot a hair longer than round', pocket(4.02, 4, 4, 16, true)],
  ['pocket with corner radii', pocket(12, 10, 3, 8)],
  ['square pocket with wide corner radii', pocket(10, 10, 9.9, 16)],
  ['hexagonal pocket', shapes.bore(6, 10, 6)],
  ['boss', shapes.frustumOnPlate({ baseRadius: 6, topRadius: 6, height: 12, side: 60, segments: 48 })],
  [
    'conical pocket',
    drilled(
      [
        [8, 0],
        [7, -20],
        [0, -20],
      ],
      48,
    ),
  ],
  ['half-ball pocket', shapes.sphericalPocket(10, 48)],
  ['half-round channel, upright', shapes.turned(shapes.channel(6, 30, 24), 10)],
  [
    'ring groove round a pin',
    drilled(
      [
        [10, 0],
        [10, -15],
        [5, -15],
        [5, -2],
        [0, -2],
      ],
      48,
    ),
  ],
])('no hole: %s', (_, corners) => {
  expect(holesOf(corners)).toEqual([]);
});

test('a hole under part of the solid is none from above; from below it is', () => {
  const corners = drilled(
    [
      [3, 0],
      [3, -8],
      [9, -8],
      [9, -20],
      [0, -20],
    ],
    48,
  );
  // Its wider step leans over nothing that a drill would mind: the narrow mouth lets one in.
  expect(holesOf(corners).map(({ steps }) => steps.length)).toEqual([2]);
  expect(holesOf(shapes.bore(5, 20, 32)).length).toBe(1);
  const flipped = shapes.bore(5, 20, 32).map((value, i) => (i % 3 === 0 ? value : -value));
  expect(holesOf(flipped)).toEqual([]);
});

// Four tiles: two alike, one of another depth, one a slot.
const plate = shapes.pocketPlate({
  tileX: 30,
  tileY: 30,
  bottomZ: -30,
  tiles: [
    [
      { rings: [ring(4, 4, 4, 0), ring(4, 4, 4, -12)], facets: 12 },
      { rings: [ring(4, 4, 4, 0), ring(4, 4, 4, -12)], facets: 12 },
    ],
    [
      { rings: [ring(4, 4, 4, 0), ring(4, 4, 4, -8)], facets: 12 },
      { rings: [ring(9, 5, 5, 0), ring(9, 5, 5, -6)], facets: 12 },
    ],
  ],
});
const cutters = [4, 8].map((DC) => ({ id: `B${DC}`, DC, RE: DC / 2, APMX: DC, LU: 40, NOF: 2 }));
const last = lastAnswers();
const OPTIONS = {
  unit: 'mm' as const,
  radiiMm: [2],
  cutters: { version: 1 as const, cutters },
  ...FINISHING_ALONE,
};

test('a survey lists like holes once; those left to the drill are in no area to finish, and what that saves is told', async () => {
  const all = (await surveyShape(plate, OPTIONS, last)).plan;
  expect(all.holes.map(({ count, kind, isDrilled, id }) => [id, count, kind, isDrilled])).toEqual([
    [0, 2, 'blind', false],
    [1, 1, 'blind', false],
  ]);
  const { plan, files } = await surveyShape(plate, { ...OPTIONS, drilledUpToMm: 8 }, last);
  expect(plan.holes.map(({ isDrilled }) => isDrilled)).toEqual([true, true]);
  expect(plan.classes.steep.areaMm2).toBeCloseTo(all.classes.steep.areaMm2, 6);
  // Walls and bottoms of three holes, by polygons of 48 sides on their circle.
  const wall = 2 * 48 * 4 * Math.sin(Math.PI / 48) * (12 + 12 + 8),
    bottom = 3 * 24 * 16 * Math.sin((2 * Math.PI) / 48);
  const toFinish = (one: typeof plan): number =>
    one.ladder.reduce(
      (sum, rung) => sum + rung.finishedAreaMm2,
      one.ladder[one.ladder.length - 1].unreachedAreaMm2,
    );
  expect(toFinish(all) - toFinish(plan)).toBeCloseTo(wall + bottom, 3);
  expect(plan.holes.reduce((sum, { areaMm2 }) => sum + areaMm2, 0)).toBeCloseTo(wall + bottom, 3);
  const told = plan.holes.reduce((sum, { finishMinutes }) => sum + (finishMinutes ?? NaN), 0);
  const saved = all.time.finishingMinutes - plan.time.finishingMinutes;
  // "Roughly": the ladder has links and stops, takes other cutters, and more than one.
  expect(saved / told).toBeGreaterThan(1 / 3);
  expect(saved / told).toBeLessThan(3);
  expect(plan.findings.map(({ code }) => code)).toContain('holes.drilled');
  const rows = String(files.get('holes.csv')).trim().split('\r\n');
  expect(rows).toHaveLength(4);
  expect(rows[1]).toMatch(/^H0\.0,H0,blind,8,12,,,,-15,-15,\d+,drilled$/);
  // A drill of 7 is none for holes of 8.
  const small = resolveSetup(undefined, { ...OPTIONS, drilledUpToMm: 7 });
  expect(drilledFacets(holesOf(plate), small, plan.mesh.triangles).every((one) => one === 0)).toBe(true);
});

test('where a flat end goes round in holes, what the drill saves is its minutes, not those of balls', async () => {
  const flat = { id: 'F6', DC: 6, RE: 0, APMX: 6, LU: 40, NOF: 2 };
  const some = { ...OPTIONS, cutters: { version: 1 as const, cutters: [...cutters, flat] } };
  // As drilled as the last of the test before, and the others of one kind: all but the mills is known by then.
  const drilled = (await surveyShape(plate, { ...some, drilledUpToMm: 8 }, last)).plan,
    all = (await surveyShape(plate, some, last)).plan;
  const minutesOf = ({ holes }: typeof all): number =>
    holes.reduce((sum, { finishMinutes }) => sum + (finishMinutes ?? NaN), 0);
  // Roughly: corners at the bottom of the holes, links and stops are not in it.
  const saved = all.time.finishingMinutes - drilled.time.finishingMinutes;
  expect(saved / minutesOf(drilled)).toBeGreaterThan(1 / 3);
  expect(saved / minutesOf(drilled)).toBeLessThan(3);
  const balls = (await surveyShape(plate, { ...some, walls: 'ball', floors: 'ball' }, last)).plan;
  expect(minutesOf(balls)).toBeGreaterThan(3 * minutesOf(drilled));
  // Nor does a flat end that is too short for them, with a shank that is too wide.
  const short = {
    ...some,
    cutters: { version: 1 as const, cutters: [...cutters, { ...flat, LU: 6, DMM: 10 }] },
  };
  expect(minutesOf((await surveyShape(plate, short, last)).plan)).toBeCloseTo(minutesOf(balls), 9);
});

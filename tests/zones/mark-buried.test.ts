import { describe, expect, test } from 'vitest';
import { CLASS_INDEX, MACHINABLE_CLASSES } from '../../src/core/classes.js';
import { compensatedSum } from '../../src/core/sum.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { meshFacets, buildPartTree } from '../../src/reach/build-part-tree.js';
import { solidProbes } from '../../src/reach/solids.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import type { ZonedSurface } from '../../src/zones/build-zones.js';
import { AWAY } from '../../src/zones/mark-away.js';
import { between, cornersOf, facetsOf, reversed } from '../support/damage.js';
import { FINISHING_ALONE, readyPart, surveyShape, zonesOf, type ReadyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import type { Point } from '../support/shapes/soup.js';
import { soupOf } from '../support/soup-of.js';

const BURIED = CLASS_INDEX.hidden | AWAY;
const areaOf = (corners: Float64Array): number => shapes.measureSoup(corners).area;

/** Area, mm², of what is no surface of the part, of what is machined, and in all. */
function split({ surface, labels }: ZonedSurface) {
  const { areas } = facetNormals(surface.mesh);
  const where = (is: (label: number) => boolean): number =>
    compensatedSum(areas.filter((_, f) => is(labels[f])));
  return {
    buried: where((label) => label === BURIED),
    machined: where((label) => label < MACHINABLE_CLASSES),
    all: compensatedSum(areas),
  };
}
const splitOf = (corners: Float64Array) => split(zonesOf(readyPart(corners)));
const codesOf = (corners: Float64Array): string[] =>
  zonesOf(readyPart(corners)).findings.map(({ code }) => code);

type Place = readonly [number, number, number];
const box = (size: Place, at: Place = [0, 0, 0]): Float64Array => shapes.moved(shapes.box(...size), at);
/** Every facet as four. */
const finer = (corners: Float64Array): Float64Array =>
  cornersOf(
    facetsOf(corners).flatMap(([a, b, c]) => {
      const [ab, bc, ca] = [between(a, b, 0.5), between(b, c, 0.5), between(c, a, 0.5)];
      return [
        [a, ab, ca],
        [ab, b, bc],
        [ca, bc, c],
        [ab, bc, ca],
      ];
    }),
  );
/** Turned about X, then about Z, degrees. */
const tilted = (corners: Float64Array, about: number): Float64Array => {
  const [c, s] = [Math.cos((about * Math.PI) / 180), Math.sin((about * Math.PI) / 180)];
  const up = corners.map((x, i) =>
    i % 3 === 0 ? x : i % 3 === 1 ? c * x - s * corners[i + 1] : s * corners[i - 1] + c * x,
  );
  return shapes.turned(up, 0.7 * about);
};

const POSES: readonly (readonly [string, number, (corners: Float64Array) => Float64Array])[] = [
  ['as made', 1, (corners) => corners],
  ['tilted, in single precision', 1, (corners) => shapes.rounded(tilted(corners, 33))],
  ['a tenth as large, tilted', 0.1, (corners) => shapes.scaled(tilted(corners, -51), 0.1)],
  [
    'thirty times as large, far off',
    30,
    (corners) => shapes.moved(shapes.scaled(corners, 30), [900, -400, 70]),
  ],
  ['finer', 1, finer],
  ['facets permuted', 1, (corners) => shapes.permuted(corners, 20261)],
];

describe.each(POSES)('%s', (_, scale, pose) => {
  const close = (found: number, expected: number, share: number): void =>
    expect(Math.abs(found - expected * scale ** 2), `${found}`).toBeLessThan(share * expected * scale ** 2);

  // What is buried of two solids is the surface of what both fill: plane geometry.
  test('boxes through each other', () => {
    const { buried, all } = splitOf(pose(shapes.joined(box([20, 20, 10]), box([20, 20, 10], [10, 5, 4]))));
    close(buried, 2 * (10 * 15 + 10 * 6 + 15 * 6), 0.005);
    close(all, 2 * 2 * (20 * 20 + 20 * 10 + 20 * 10), 1e-6);
  });

  test('boxes that end in the same planes: of faces on each other one is left', () => {
    const { buried } = splitOf(pose(shapes.joined(box([20, 20, 10]), box([20, 20, 10], [10, 5, 0]))));
    close(buried, 2 * (10 * 15 + 10 * 10 + 15 * 10), 0.005);
  });

  test('a box that stands on another: both faces where they meet', () => {
    close(
      splitOf(pose(shapes.joined(box([20, 20, 10]), box([6, 8, 10], [5, 5, 10])))).buried,
      2 * 6 * 8,
      0.01,
    );
  });

  test('three balls in each other: all but the outermost', () => {
    const balls = [4, 6, 9].map((radius) => shapes.icosphere(radius, 3));
    const { buried, machined } = splitOf(pose(shapes.joined(...balls)));
    // As facets have it, which is 1 % less than 4 pi r².
    close(buried, areaOf(balls[0]) + areaOf(balls[1]), 1e-5);
    expect(Math.abs(buried / (4 * Math.PI * (4 ** 2 + 6 ** 2) * scale ** 2) - 1)).toBeLessThan(0.011);
    expect(machined / splitOf(pose(balls[2])).machined).toBeCloseTo(1, 9);
  });

  // Archimedes, On the Sphere and Cylinder I.42: a cap is as large as a circle over the line from its rim to its top: 2 pi r h.
  test('two balls through each other: a cap of each', () => {
    const [r, s, d] = [8, 6, 9];
    const both = shapes.joined(shapes.icosphere(r, 4), shapes.moved(shapes.icosphere(s, 4), [d, 0.01, 0.02]));
    const to = (d * d + r * r - s * s) / (2 * d);
    close(splitOf(pose(both)).buried, 2 * Math.PI * (r * (r - to) + s * (s - (d - to))), 0.02);
  });
});

test('what stands in a hollow, or beside, or over another is surface of the part', () => {
  const ball = (radius: number): Float64Array => shapes.icosphere(radius, 2);
  for (const corners of [
    // In either order of shells.
    shapes.joined(ball(10), reversed(ball(6)), ball(3)),
    shapes.joined(ball(3), reversed(ball(6)), ball(10)),
    shapes.joined(box([20, 20, 10]), box([6, 6, 5], [20.01, 5, 0])),
    shapes.joined(box([20, 20, 10]), box([6, 6, 5], [5, 5, 10.01])),
  ]) {
    expect(splitOf(corners).buried).toBe(0);
    expect(codesOf(corners)).not.toContain('zones.buried');
  }
});

// They share a corner and its edge, of four facets; the smaller lies in the larger, three of its faces on faces of that.
test('solids that share an edge are solids each', () => {
  const both = shapes.joined(box([20, 20, 10]), box([12, 15, 10]));
  expect(Math.abs(splitOf(both).buried / (2 * (12 * 15 + 12 * 10 + 15 * 10)) - 1)).toBeLessThan(0.005);
});

test('what is parted from a solid by edges of three facets bounds none: nothing lies in it', () => {
  const square = (at: number, size: number, z: number): Point[] => [
    [at, at, z],
    [at + size, at, z],
    [at + size, at + size, z],
    [at, at + size, z],
  ];
  const quad = (a: Point, b: Point, c: Point, d: Point): Point[][] => [
    [a, b, c],
    [a, c, d],
  ];
  const [bottom, rim, foot, top] = [square(0, 30, 0), square(0, 30, 4), square(10, 10, 4), square(10, 10, 9)];
  const band = (low: Point[], high: Point[]): Point[][] =>
    low.flatMap((from, k) => quad(from, low[(k + 1) % 4], high[(k + 1) % 4], high[k]));
  const [a, b, c, d] = foot;
  // A plate, a box on it, and between them the plate's facets and the box's, cut along the other diagonal.
  const facets = [
    ...quad(bottom[3], bottom[2], bottom[1], bottom[0]),
    ...band(bottom, rim),
    ...band(rim, foot),
    ...band(foot, top),
    ...quad(top[0], top[1], top[2], top[3]),
    ...quad(a, b, c, d),
    ...quad(b, a, d, c),
  ];
  const { findings } = prepareMesh(soupOf(cornersOf(facets)), { axis: [0, 0, 1], stand: false });
  expect(findings.find(({ code }) => code === 'mesh.non-manifold')?.count).toBe(4);
  expect(splitOf(cornersOf(facets)).buried).toBe(0);
});

// Through its opening a tool sees the box within.
test('an open shell bounds no solid: what stands in it may be seen', () => {
  const open = cornersOf(facetsOf(box([20, 20, 10])).filter((facet) => !facet.every(([, , z]) => z === 10)));
  const small = box([6, 6, 2], [7, 7, 3]);
  const found = splitOf(shapes.joined(open, small));
  expect(found.buried).toBe(0);
  expect(found.machined).toBeGreaterThan(36);
});

// What is open below stands for metal down to there; plane geometry.
test('surface in a shell that is open only at the bottom of the part is none; through each other the same', () => {
  const withoutBottom = (corners: Float64Array): Float64Array =>
    cornersOf(facetsOf(corners).filter((facet) => !facet.every(([, , z]) => z === 0)));
  const outer = withoutBottom(box([20, 20, 10]));
  expect(splitOf(shapes.joined(outer, box([6, 6, 5], [5, 5, 2]))).buried).toBeCloseTo(2 * (36 + 30 + 30), 6);
  const other = withoutBottom(box([20, 20, 8], [10, 5, 0]));
  const { buried } = splitOf(shapes.joined(outer, other));
  expect(Math.abs(buried / (10 * 15 + 2 * 10 * 8 + 2 * 15 * 8) - 1)).toBeLessThan(0.005);
});

// Solids do not come in pairs only: of a sheet through a box what is inside, and what lies on its faces, is none.
test('open surface in the one solid of a part', () => {
  const sheet = (z: number): Float64Array => Float64Array.of(5, 5, z, 14, 5, z, 5, 14, z);
  for (const [z, order] of [5, 10].flatMap((at) => [1, -1].map((turn) => [at, turn])))
    expect(
      splitOf(shapes.joined(...[box([20, 20, 10]), sheet(z)].slice(0, 2).sort(() => order))).buried,
    ).toBeCloseTo(40.5, 6);
});

test('only where another solid ends on it is a facet cut', () => {
  const apart = shapes.joined(box([20, 20, 10]), box([6, 6, 5], [25, 5, 0]));
  expect(zonesOf(readyPart(apart)).labels.length).toBe(24);
  const within = shapes.joined(box([20, 20, 10]), box([6, 6, 5], [5, 5, 2]));
  expect(zonesOf(readyPart(within)).labels.length).toBe(24);
});

test('parts of one shell, and sheets alone, are not asked', () => {
  const probesOf = (part: ReadyPart) => solidProbes(() => buildPartTree(meshFacets(part.mesh)), part);
  const sheet = (z: number): Float64Array => Float64Array.of(0, 0, z, 9, 0, z, 0, 9, z);
  expect(probesOf(readyPart(shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 })))).toBeNull();
  expect(probesOf(readyPart(shapes.joined(sheet(30), sheet(40))))).toBeNull();
  expect(probesOf(readyPart(shapes.joined(box([20, 20, 10]), sheet(30))))).not.toBeNull();
  expect(probesOf(readyPart(shapes.joined(box([2, 2, 1]), box([2, 2, 1], [5, 0, 0]))))).not.toBeNull();
});

test('a survey has no regions there, does not list it as not milled, and says so', async () => {
  const outer = box([20, 20, 10]);
  const setup: SetupFile = {
    ...FINISHING_ALONE,
    radiiMm: [2],
    cutters: { version: 1, cutters: [{ id: 'B4', DC: 4, RE: 2, APMX: 4, LU: 30, NOF: 2 }] },
  };
  const [{ plan: alone }, { plan }] = [
    await surveyShape(outer, setup),
    await surveyShape(shapes.joined(outer, box([6, 6, 5], [5, 5, 2])), setup),
  ];
  expect(plan.classes.hidden.areaMm2).toBeCloseTo(2 * (36 + 30 + 30), 6);
  expect(plan.findings.find(({ code }) => code === 'zones.buried')).toMatchObject({
    severity: 'warning',
    count: 12,
  });
  expect(plan.regions).toEqual(alone.regions);
  expect(plan.notMilled).toEqual(alone.notMilled);
  expect(plan.time.finishingMinutes).toBe(alone.time.finishingMinutes);
});

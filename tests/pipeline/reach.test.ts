import { describe, expect, test } from 'vitest';
import { MODELS } from '../../models/catalogue.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { FINISHING_ALONE, reachOf, reachOfStl, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, abs, cos, sin, sqrt, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;

/** Tolerance so small that the printed values, which have none, can be compared. */
const FINE_MM = 0.001;
/** Its facets are cut until they miss the true surface by a tenth of this. */
const POCKET_MM = 0.005;

/**
 * Length beside the tangent point where a point is still reached within the tolerance t. A point that lies w
 * off the tangent point in its own plane stands sqrt(R² + w²) from the nearest free centre, so its gap is
 * sqrt(R² + w²) - R, which is t at w = sqrt(2 R t + t²): an unreached strip d wide is listed d - sqrt(2 R t +
 * t²) wide.
 */
const within = (radius: number, t: number): number => sqrt(2 * radius * t + t * t);

const expectShare = (found: number, expected: number, share: number): void => {
  expect(abs(found - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(share * abs(expected));
};

describe('two planes', () => {
  const LENGTH = 16;
  // Strip on each face d = R tan(phi / 2): two planes and the ball tangent to both.
  test.each([
    [90, 3, 3.0, FINE_MM],
    [60, 3, 1.732051, FINE_MM],
    [120, 3, 5.196152, FINE_MM],
    [90, 3, 3.0, 0.02],
    [60, 5, 2.886751, 0.05],
    [30, 5, 1.339746, 0.01],
  ])('turning %d degrees, R %d: strips of %d, tolerance %d', async (turningDeg, radius, printed, t) => {
    expect(radius * tan(rad(turningDeg / 2))).toBeCloseTo(printed, 5);
    const corners = shapes.turned(shapes.vGroove({ turningDeg, arm: 14, length: LENGTH }), 23.7);
    const { unreachedMm2 } = await reachOf(corners, [radius], t);
    expectShare(unreachedMm2[0], 2 * LENGTH * (printed - within(radius, t)), 0.02);
  });

  test('the closed form with tolerance is the printed one: R 3, 90 degrees, t 0.01 and 0.05', () => {
    // Printed for thickness normal to the face: d - sqrt(2 R t - t²). Measured from the ball instead the sign
    // turns.
    expect(3 - sqrt(2 * 3 * 0.01 - 0.0001)).toBeCloseTo(2.755255, 6);
    expect(within(3, 0.01)).toBeCloseTo(sqrt(2 * 3 * 0.01 - 0.0001), 3);
  });

  test('a level floor and an upright wall, 12 triangles or so: the same strips', async () => {
    const corners = shapes.turned(shapes.dihedral({ turningDeg: 90, arm: 14, length: LENGTH }), -11.3);
    const { unreachedMm2, tight } = await reachOf(corners, [3], 0.01);
    expectShare(unreachedMm2[0], 2 * LENGTH * (3 - within(3, 0.01)), 0.02);
    const patches = await tight();
    expect(patches.length).toBe(1);
    expect(patches[0].reachRadiusMm).toBe(0);
    expectShare(patches[0].areaMm2, unreachedMm2[0], 0.005);
    expect(abs(patches[0].boundsMm.min[2])).toBeLessThan(1e-6);
    expect(patches[0].boundsMm.max[2]).toBeCloseTo(3 - within(3, 0.01), 1);
  });
});

// Two cones below each other and a level floor: three faces, two corners, each as between two planes, since a ball touches
// both in the plane through the axis. Area by Pappus (Guldin): width times the way of the strip's middle.
describe('pocket of two cones and a floor', () => {
  const HIGH = 6;
  test.each([
    [70, 50, 80, 25],
    [80, 62, 64, 12],
    [60, 38, 96, 18],
  ])(
    'of %d and %d degrees, %d facets round, top of %d mm: strips at both rings',
    async (upper, lower, n, top) => {
      const foot = top - HIGH / tan(rad(upper)),
        floor = foot - HIGH / tan(rad(lower));
      const corners = shapes.conePocket([top, foot, floor], HIGH, n);
      const t = 0.02,
        radii = [2, 3, 5];
      const { unreachedMm2 } = await reachOf(shapes.turned(corners, 12.3), radii, t);
      const strips = (radius: number, ring: number, above: number, below: number): number => {
        const wide = radius * tan(rad((above - below) / 2)) - within(radius, t);
        if (wide <= 0) return 0;
        const middles = 2 * ring + (wide / 2) * (cos(rad(above)) - cos(rad(below)));
        return 2 * PI * wide * middles;
      };
      radii.forEach((radius, i) => {
        const expected = strips(radius, foot, upper, lower) + strips(radius, floor, lower, 0);
        expectShare(unreachedMm2[i], expected, 0.03);
      });
    },
  );
});

describe('fillet between two planes', () => {
  const LENGTH = 8;
  const groove = (turningDeg: number, fillet: number, filletFacets: number): Float64Array =>
    shapes.turned(shapes.vGroove({ turningDeg, arm: 10, length: LENGTH, fillet, filletFacets }), 31.9);
  const cases = [6, 12, 48];

  // Unreached section length rho phi + 2 (R - rho) tan(phi / 2): 90/R3/rho1 5.570796, 60/4/1.5 4.457548,
  // 120/3/2 7.652892.
  test.each(
    [
      [90, 3, 1, 5.570796],
      [60, 4, 1.5, 4.457548],
      [120, 3, 2, 7.652892],
    ].flatMap((values) => cases.map((facets) => [...values, facets])),
  )(
    'turning %d, ball %d, smaller fillet %d: section %d at %d facets',
    async (turningDeg, radius, fillet, printed, facets) => {
      const t = 0.005;
      const arc = 2 * facets * fillet * sin(rad(turningDeg) / (2 * facets));
      expect(fillet * rad(turningDeg) + 2 * (radius - fillet) * tan(rad(turningDeg / 2))).toBeCloseTo(
        printed,
        5,
      );
      const { unreachedMm2 } = await reachOf(groove(turningDeg, fillet, facets), [radius], t);
      const lost = fillet * rad(turningDeg) - arc;
      expectShare(unreachedMm2[0], LENGTH * (printed - lost - 2 * within(radius, t)), 0.02);
    },
  );

  test.each(cases)('ball equal to the fillet, %d facets: exactly nothing unreached', async (facets) => {
    for (const turningDeg of [60, 90, 120]) {
      const { unreachedMm2 } = await reachOf(groove(turningDeg, 3, facets), [3], 0.02);
      expect(unreachedMm2).toEqual([0]);
    }
  });

  test.each(cases)('ball smaller than the fillet, %d facets: exactly nothing unreached', async (facets) => {
    const { unreachedMm2 } = await reachOf(groove(90, 3, facets), [1, 2, 2.9], 0.02);
    expect(unreachedMm2).toEqual([0, 0, 0]);
  });
});

describe('corners and slots', () => {
  // Three planes at right angles: on each face the two strips R wide along its two creases.
  test('three-plane corner of a box pocket of 28 triangles: strips along all edges', async () => {
    const [width, length, depth, t, r] = [30, 20, 10, 0.01, 2];
    const w = within(r, t);
    const corners = shapes.turned(shapes.boxPocket({ width, length, depth, land: 6 }), 17.3);
    const { unreachedMm2 } = await reachOf(corners, [r], t);
    const d = r - w;
    const floor = width * length - (width - 2 * d) * (length - 2 * d);
    const walls = [width, length].reduce(
      (sum, side) => sum + 2 * (side * depth - (side - 2 * d) * (depth - d)),
      0,
    );
    // Only where strips cross is the border not straight: less than the square of the band it lies in.
    expectShare(unreachedMm2[0], floor + walls, 0.02);
  });

  test.each([0, 3])(
    'valley of three planes, draft %d: the place is the corner, the radius 0',
    async (draft) => {
      const { tight } = await reachOf(shapes.threePlaneCorner(draft), [3], 0.02);
      const [patch] = await tight();
      const { at, floorZ } = shapes.CORNER;
      expect(patch.reachRadiusMm).toBe(0);
      expect(abs(patch.boundsMm.min[0] - (draft ? patch.boundsMm.min[0] : at))).toBeLessThan(1e-6);
      expect(abs(patch.boundsMm.min[2] - floorZ)).toBeLessThan(1e-6);
    },
  );

  // The ball sinks R - sqrt(R² - W² / 4) into a slot of width W < 2 R: walls and floor below that are
  // unreached.
  test('slot narrower than the cutter: floor and walls, although every face is flat', async () => {
    const [width, depth, length] = [4, 6, 30];
    const { unreachedMm2, tight } = await reachOf(
      shapes.turned(shapes.throughSlot(width, depth, length), 5.1),
      [3],
      0.02,
    );
    expectShare(unreachedMm2[0], length * (width + 2 * depth), 0.02);
    const patches = await tight();
    expect(patches.length).toBe(1);
    expect(patches[0].boundsMm.min[2]).toBeCloseTo(-6, 6);
  });

  test("slot as wide as the cutter, square bottom: only the bottom's strips", async () => {
    const [width, depth, length, t] = [6, 8, 30, 0.02];
    const { unreachedMm2 } = await reachOf(
      shapes.turned(shapes.throughSlot(width, depth, length), 5.1),
      [3],
      t,
    );
    expectShare(unreachedMm2[0], length * 4 * (3 - within(3, t)), 0.02);
  });

  test('slot wider than the cutter: the strips of two dihedrals', async () => {
    const [width, depth, length, t] = [12, 8, 30, 0.02];
    const { unreachedMm2 } = await reachOf(
      shapes.turned(shapes.throughSlot(width, depth, length), 5.1),
      [3],
      t,
    );
    expectShare(unreachedMm2[0], length * 4 * (3 - within(3, t)), 0.02);
  });
});

describe('reach radius', () => {
  // A through bore of radius R takes balls up to R; with n facets a ball in it enters each by R (1 - cos(pi /
  // n)).
  test.each([32, 48, 96])('bore of radius 5, %d facets: reached by 5, not by 5.2', async (segments) => {
    const inner = 5 * cos(PI / segments);
    const { unreachedMm2, tight } = await reachOf(shapes.bore(5, 12, segments, true), [4.9, 5, 5.2], 0.02);
    expect(unreachedMm2[0]).toBe(0);
    expect(unreachedMm2[1]).toBe(0);
    expectShare(unreachedMm2[2], 2 * segments * 5 * sin(PI / segments) * 12, 0.02);
    const [patch] = await tight(2);
    expect(patch.reachRadiusMm).toBeGreaterThan(inner - 0.06);
    expect(patch.reachRadiusMm).toBeLessThanOrEqual(5 + 0.02 + 0.01 + 0.05);
  });

  test.each([16, 32, 64])(
    'spherical pocket of radius 6, %d segments: reached by 6, radius 6 for a larger ball',
    async (segments) => {
      const { unreachedMm2, tight } = await reachOf(shapes.sphericalPocket(6, segments), [5.5, 6, 7], 0.02);
      expect(unreachedMm2.slice(0, 2)).toEqual([0, 0]);
      const facets = Math.ceil(segments / 4);
      const area = Array.from({ length: facets }, (_, i) => {
        const [r, s] = [cos((i * PI) / (2 * facets)) * 6, cos(((i + 1) * PI) / (2 * facets)) * 6];
        const rise = 6 * (sin(((i + 1) * PI) / (2 * facets)) - sin((i * PI) / (2 * facets)));
        return (
          segments * sin(PI / segments) * (r + s) * sqrt(((r - s) * cos(PI / segments)) ** 2 + rise * rise)
        );
      }).reduce((a, b) => a + b);
      expect(unreachedMm2[2]).toBeGreaterThan(0.9 * area);
      const [patch] = await tight(2);
      expect(abs(patch.reachRadiusMm - 6)).toBeLessThanOrEqual(0.02 + 0.01 + 0.06);
      expect(patch.boundsMm.min[2]).toBeCloseTo(-6, 1);
    },
  );

  // Half-round channel of radius rho < R flush with the land: the whole channel, gap rho - R + sqrt(R² -
  // rho²) at its bottom.
  test('half-round channel of radius 2: not reached by 3, reached by 2 and less', async () => {
    const length = 20,
      facets = 24;
    const { unreachedMm2, tight } = await reachOf(
      shapes.turned(shapes.channel(2, length, facets), 44.4),
      [1.5, 2, 3],
      0.02,
    );
    expect(unreachedMm2.slice(0, 2)).toEqual([0, 0]);
    expectShare(unreachedMm2[2], length * 2 * facets * 2 * sin(PI / (2 * facets)), 0.02);
    const [patch] = await tight(2);
    expect(abs(patch.reachRadiusMm - 2)).toBeLessThanOrEqual(0.02 + 0.01 + 0.02);
  });
});

describe('round pocket: floor 17, fillet 3, wall 20', () => {
  // Unreached floor ring pi (17² - (20 - R)²), wall strip 2 pi 20 (R - 3), the whole fillet 559.8985:
  // R 4 789.2348, R 5 1012.2878, R 6 1229.0577; gap (R - 3)(sqrt 2 - 1); rest volumes 177.63, 401.97, 671.20.
  const PRINTED = [
    [4, 789.2348, 177.6298, 0.414214],
    [5, 1012.2878, 401.9664, 0.828427],
    [6, 1229.0577, 671.2028, 1.242641],
  ];

  test('areas, volumes and gaps of R 4, 5, 6 within 2 %; R 3 leaves nothing', async () => {
    const corners = shapes.turned(shapes.roundPocket({ segments: 128, filletFacets: 16, side: 44 }), 9.7);
    const { unreachedMm2, reach, tight } = await reachOf(corners, [3, 4, 5, 6], POCKET_MM);
    expect(unreachedMm2[0]).toBe(0);
    for (const [i, [radius, area, volume, gap]] of PRINTED.entries()) {
      const w = within(radius, POCKET_MM);
      const ring = 2 * PI * (20 - radius + w / 2) * w,
        strip = 2 * PI * 20 * w;
      expectShare(unreachedMm2[i + 1], area - ring - strip, 0.02);
      const { restVolumeMm3, maxGapMm } = (await reach.left()).byRadius[i + 1];
      expectShare(restVolumeMm3, volume, 0.02);
      expect(abs(maxGapMm - gap)).toBeLessThan(0.02 * gap + 0.005);
    }
    const patches = await tight(1);
    expect(patches.length).toBe(1);
    expect(abs(patches[0].reachRadiusMm - 3)).toBeLessThanOrEqual(0.01 + 0.03);
    expect(patches[0].boundsMm.min[2]).toBeCloseTo(0, 6);
    expect(patches[0].boundsMm.max[2]).toBeCloseTo(4, 0);
  });

  test('the error falls with refinement, R 5', async () => {
    const w = within(5, POCKET_MM);
    const exact = 1012.2878 - 2 * PI * (15 + w / 2) * w - 2 * PI * 20 * w;
    const errors: number[] = [];
    for (const segments of [16, 48, 144]) {
      const corners = shapes.roundPocket({ segments, filletFacets: Math.ceil(segments / 8) });
      errors.push(abs((await reachOf(corners, [5], POCKET_MM)).unreachedMm2[0] / exact - 1));
    }
    expect(errors[1]).toBeLessThan(errors[0]);
    expect(errors[2]).toBeLessThan(0.02);
  });
});

// The soap dish has no concave rounding below 1 mm and no sharp inner edge (models/figures.json), so a ball
// of R 0.5 gets everywhere: up its counterbores too, whose walls are one facet tall over a rounding of many.
test('soap dish: nothing is left by a ball smaller than all its fillets, and no speck of a bore by one of its radius', async () => {
  const dish = MODELS.find(({ name }) => name === 'soap-dish-cavity')!;
  const { unreachedMm2, tight } = await reachOfStl(dish.build(1), [0.5, 5], SETUP_DEFAULTS.toleranceMm);
  expect(unreachedMm2[0]).toBe(0);
  // R 5 is the radius of the four bores: of their walls, whose chords stand in its way by 0.015 mm, it leaves no speck.
  // What it leaves are the four roundings at their feet, and two of the cavity.
  const places = await tight(1);
  expect(places.length).toBe(6);
  expect(places.every(({ reachRadiusMm }) => reachRadiusMm < 4)).toBe(true);
});

test('the tightest place is told by what it takes, not by the cutter that gets in', async () => {
  const R4 = { id: 'R4', DC: 8, RE: 4, APMX: 8, LU: 60, NOF: 2 };
  const tightest = async (corners: Float64Array): Promise<unknown> => {
    const setup = { radiiMm: [4, 5, 7], cutters: { version: 1 as const, cutters: [R4] }, ...FINISHING_ALONE };
    return (await surveyShape(corners, setup)).plan.reach.smallestRadiusMm;
  };
  // Its own radius, and what the tolerance of 0.02 mm lets a larger ball stand over its deepest point: 2 %.
  expectShare(Number(await tightest(shapes.sphericalPocket(6, 48))), 6, 0.02);
  expect(await tightest(shapes.domeOnPlate(5, 30, 48))).toBe(0);
  expect(await tightest(shapes.box(20, 20, 10))).toBe('unlimited');
});

// Balls are nested: what a smaller one leaves over a place a larger one leaves too.
test('a larger ball leaves no less, and no thinner, though columns of each stand elsewhere', async () => {
  const insert = MODELS.find(({ name }) => name === 'clip-insert');
  if (insert === undefined) throw new Error('clip-insert is no model');
  const { reach } = await reachOfStl(insert.build(1), [2.5, 3, 4, 5, 8, 10], SETUP_DEFAULTS.toleranceMm);
  const left = (await reach.left()).byRadius;
  const [deepest, volumes] = [left.map((one) => one.maxGapMm), left.map((one) => one.restVolumeMm3)];
  expect(deepest).toEqual([...deepest].sort((a, b) => a - b));
  expect(volumes).toEqual([...volumes].sort((a, b) => a - b));
  // Its deepest pocket is 12 mm deep, and 6 mm wide: none of the larger balls gets in.
  expect(deepest[5]).toBeGreaterThan(9);
  expect(deepest[5]).toBeLessThanOrEqual(12 + 1e-6);
});

import { describe, expect, test } from 'vitest';
import { cutterGap } from '../../src/reach/cutter-gap.js';
import { inlineEngine } from '../../src/reach/reach-engine.js';
import type { Cutter } from '../../src/cutter/catalogue.js';
import { analyseCutters, profileOfCutter, type CuttersAnalysis } from '../../src/survey/analyse-cutters.js';
import { readyPart, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';

const { PI, abs, cos, sin, sqrt, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;
const T = 0.02;

const cutter = (DC: number, RE: number, taperHalfAngleDeg = 0, DMM = DC): Cutter => ({
  id: `c${DC}-${RE}-${taperHalfAngleDeg}`,
  DC,
  RE,
  APMX: DC,
  LU: 4 * DC,
  DN: DC,
  DMM,
  NOF: 2,
  taperHalfAngleDeg,
  holder: [],
  wearCostPerMinute: null,
  stages: [],
  placeholder: true,
});
const flat = (DC: number): Cutter => cutter(DC, 0);

/** Unreached area of each cutter, mm². */
async function left(
  corners: Float64Array,
  cutters: readonly Cutter[],
  toleranceMm = T,
  stockMm = 0,
): Promise<number[]> {
  return (await analysed(corners, cutters, toleranceMm, stockMm)).cutters.map(
    ({ unreachedAreaMm2 }) => unreachedAreaMm2,
  );
}

function analysed(
  corners: Float64Array,
  cutters: readonly Cutter[],
  toleranceMm = T,
  stockMm = 0,
  more: { mostAdded?: number } = {},
): Promise<CuttersAnalysis> {
  const part = readyPart(corners);
  const engine = inlineEngine({ ...part, limits: { toleranceMm, slackMm: 0.01 * toleranceMm } });
  const zoned = zonesOf(part);
  return analyseCutters(cutters, { zoned, part: part.smooth, engine, stockMm, toleranceMm, ...more }, {});
}

/** Gap at points (x, y, z, normal) of a shape. */
function gapsOf(
  corners: Float64Array,
  shape: Cutter,
  points: readonly (readonly number[])[],
  toleranceMm = T,
): number[] {
  const part = readyPart(corners);
  const profile = profileOfCutter(shape);
  const gaps = cutterGap(part.tree, profile, {
    toleranceMm,
    slackMm: 0.01 * toleranceMm,
  });
  return points.map(([x, y, z, nx, ny, nz]) => gaps.gap(x, y, z, nx, ny, nz));
}

const within = (radius: number, t: number): number => sqrt(2 * radius * t + t * t);
const expectShare = (found: number, expected: number, share = 0.02): void => {
  expect(abs(found - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(share * abs(expected));
};

// Derivations of all strips: docs of `cutterGap`.
describe('level floor and wall', () => {
  const LENGTH = 16;
  test.each([
    [30, 3.5],
    [60, 2],
    [90, 1.5],
  ])(
    'turning %d: a flat cutter leaves nothing, a bull-nose what its corner of %d would',
    async (turningDeg, RE) => {
      const corners = shapes.turned(shapes.dihedral({ turningDeg, arm: 14, length: LENGTH }), 23.7);
      const [ofFlat, ofBull] = await left(corners, [flat(6), cutter(8, RE)]);
      expect(ofFlat).toBe(0);
      expectShare(ofBull, 2 * LENGTH * (RE * tan(rad(turningDeg / 2)) - within(RE, T)));
    },
  );

  test.each([
    [1, 1.5],
    [1.5, 1.5],
    [2, 1.5],
  ])('fillet %d, corner %d: as a ball of the corner radius', async (fillet, RE) => {
    const facets = 12;
    const corners = shapes.turned(
      shapes.dihedral({ turningDeg: 90, arm: 12, length: LENGTH, fillet, filletFacets: facets }),
      5,
    );
    const [ofBull, ofFlat] = await left(corners, [cutter(8, RE), flat(8)]);
    expect(ofFlat).toBe(0);
    const arc = 2 * facets * fillet * sin(PI / 4 / facets);
    const printed = arc + 2 * (RE - fillet) - 2 * within(RE, T);
    if (fillet >= RE) expect(ofBull).toBe(0);
    else expectShare(ofBull, LENGTH * printed, 0.03);
  });
});

describe('V of two slopes', () => {
  // At its ends the groove is open and cutters sink deeper: two lengths are compared.
  const perLength = async (turningDeg: number, shape: Cutter): Promise<number> => {
    const areas: number[] = [];
    for (const length of [16, 22]) {
      const corners = shapes.turned(shapes.vGroove({ turningDeg, arm: 14, length }), 23.7);
      areas.push((await left(corners, [shape]))[0]);
    }
    return (areas[1] - areas[0]) / 6;
  };
  test.each([60, 90, 120])('turning %d: flat and bull-nose', async (turningDeg) => {
    const theta = rad(turningDeg / 2);
    const z = (radius: number): number => radius * tan(theta);
    expectShare(await perLength(turningDeg, flat(6)), (2 * (z(3) - T)) / sin(theta));
    const strip = 0.8 * tan(theta) + z(2.2) / sin(theta);
    // The slope is gained where the flat part ends, so the tolerance shortens the strip by t / sin θ at
    // least.
    const found = (await perLength(turningDeg, cutter(6, 0.8))) / 2;
    expect(found).toBeLessThan(strip);
    expect(found).toBeGreaterThan(strip - within(0.8, T) - T / sin(theta) - 0.01);
  });

  test('a slope of 20 degrees beside an upright wall at its foot: strips 2 R / cos θ and 2 R tan θ', () => {
    const theta = rad(20);
    const corners = tiltedPocketWall(20);
    const at = (s: number): number[] => [s * cos(theta), 0, s * sin(theta), -sin(theta), 0, cos(theta)];
    const border = (2 * 3) / cos(theta) - T / sin(theta);
    const [below, above] = gapsOf(corners, flat(6), [at(border - 0.01), at(border + 0.01)]);
    expect(below).toBeGreaterThan(T);
    expect(above).toBeLessThanOrEqual(T);
    const z = 6 * tan(theta) - T;
    const wall = gapsOf(corners, flat(6), [
      [0, 0, z - 0.01, 1, 0, 0],
      [0, 0, z + 0.01, 1, 0, 0],
    ]);
    expect(wall[0]).toBeGreaterThan(T);
    expect(wall[1]).toBeLessThanOrEqual(T);
    // The gap is the height that is missing, less the slack of 0.005 against slope and wall.
    const deep = gapsOf(corners, flat(6), [at(border - 1)], 0.5)[0];
    expect(abs(deep - sin(theta) - T)).toBeLessThan(0.01);
  });
});

/** A slope that rises towards +x from the foot of an upright wall at x = 0; both 30 long and wide. */
function tiltedPocketWall(degrees: number): Float64Array {
  const rise = 30 * tan(rad(degrees));
  return extrude(
    [
      [-10, -10],
      [30, -10],
      [30, rise],
      [0, 0],
      [0, 20],
      [-10, 20],
    ],
    -30,
    30,
  );
}

describe('slots and open slopes', () => {
  const [width, depth, length] = [6, 8, 30];
  const slot = shapes.turned(shapes.throughSlot(width, depth, length), 5.1);
  test('narrower than DC: nothing below its mouth is reached', async () => {
    // At its open ends a cutter may come in from the side: two lengths are compared.
    const longer = shapes.turned(shapes.throughSlot(width, depth, length + 12), 5.1);
    const cutters = [flat(6.5), cutter(6.5, 1)];
    const [short, long] = [await left(slot, cutters), await left(longer, cutters)];
    expectShare(long[0] - short[0], 12 * (width + 2 * depth - 2 * T), 0.005);
    // A bull-nose sinks until its corner rests on the mouth's edges, 0.75 outside the corner's centre. Its
    // distance from the wall, 0.75 outside and z below the edge, is t at sqrt((1 + t)² - 0.75²) - sqrt(1 -
    // 0.75²).
    const z = sqrt((1 + T) ** 2 - 0.75 ** 2) - sqrt(1 - 0.75 ** 2);
    expectShare(long[1] - short[1], 12 * (width + 2 * (depth - z)), 0.005);
  });
  test("as wide as DC, and wider: the corners' strips only", async () => {
    for (const DC of [6, 4]) {
      const [ofFlat, ofBull] = await left(slot, [flat(DC), cutter(DC, 1)]);
      expect(ofFlat).toBe(0);
      expectShare(ofBull, 4 * length * (1 - within(1, T)));
    }
  });
  test('every place of an open slope is reached by every shape', async () => {
    for (const degrees of [10, 37.9, 60]) {
      const corners = shapes.turned(shapes.rampBlock(degrees), 12.3);
      expect(await left(corners, [flat(6), cutter(6, 1), cutter(2, 1, 5, 6)])).toEqual([0, 0, 0]);
    }
  });
  test("box pocket: a flat cutter leaves the upright corners' cylinders only, and what of the floor they cover", async () => {
    const [w, l, d, r] = [30, 20, 10, 3];
    const corners = shapes.turned(shapes.boxPocket({ width: w, length: l, depth: d, land: 6 }), 17.3);
    const [found] = await left(corners, [flat(6)], 0.01);
    // Walls: each corner takes r - sqrt(2 r t) of both; floor: the square less the quarter circle of radius r
    // + t.
    const walls = 8 * d * (r - within(r, 0.01));
    const floor = 4 * cornerArea(r, 0.01);
    expectShare(found, walls + floor, 0.02);
  });
});

/**
 * Area of a square corner beyond the circle of radius r + t about the centre of the circle of radius r in it.
 */
function cornerArea(r: number, t: number): number {
  let area = 0;
  const steps = 2000;
  for (let i = 0; i < steps; i++) {
    const x = ((i + 0.5) / steps) * r;
    area += Math.max(0, r - sqrt(Math.max(0, (r + t) ** 2 - x * x))) * (r / steps);
  }
  return area;
}

describe('tapered ball-nose', () => {
  // Ball of radius 1, half-angle 5 degrees, shank 6: the cone ends 1 - sin a + (3 - cos a) / tan a = 23.8
  // above the tip.
  const shape = cutter(2, 1, 5, 6);
  test('a wall that leans by the half-angle is reached, but for the strip of the ball', async () => {
    const corners = shapes.dihedral({ turningDeg: 85, arm: 14, length: 16 });
    expectShare((await left(corners, [cutter(4, 2, 5, 8)]))[0], 2 * 16 * (2 * tan(rad(42.5)) - within(2, T)));
  });

  test.each([90, 87])('wall of %d degrees: the gap grows by sin δ below its top edge', (turningDeg) => {
    const [delta, theta] = [rad(turningDeg - 85), rad(turningDeg)];
    const arm = 20;
    const at = (s: number): number[] => [-s * cos(theta), 0, s * sin(theta), sin(theta), 0, cos(theta)];
    const corners = shapes.dihedral({ turningDeg, arm, length: 40 });
    for (const below of [4, 10, 15]) {
      const expected = below * sin(delta);
      const [near] = gapsOf(corners, shape, [at(arm - below)], expected + 0.001);
      expect(near).toBeLessThanOrEqual(expected + 0.001);
      const [far] = gapsOf(corners, shape, [at(arm - below)], 0.98 * expected);
      expect(far).toBeGreaterThan(0.98 * expected);
    }
  });
});

// With an allowance s the cutter acts as its offset by s: RE + s, DC/2 + s; a flat end becomes a bull-nose of
// RE = s.
describe('allowance left on the part', () => {
  const LENGTH = 16;
  const floorAndWall = (turningDeg: number, length = LENGTH): Float64Array =>
    shapes.turned(shapes.dihedral({ turningDeg, arm: 14, length }), 23.7);

  test.each([
    [60, 0.5],
    [90, 0.5],
    [90, 1.5],
  ])('floor and wall turning %d, allowance %d: strips (RE + s) tan(φ / 2)', async (turningDeg, s) => {
    const strips = (RE: number): number =>
      2 * LENGTH * ((RE + s) * tan(rad(turningDeg / 2)) - within(RE + s, T));
    const [ofFlat, ofBull] = await left(floorAndWall(turningDeg), [flat(6), cutter(6, 1)], T, s);
    expectShare(ofFlat, strips(0), 0.025);
    expectShare(ofBull, strips(1));
  });

  test('a fillet as large as corner radius and allowance together is reached, a smaller one is not', async () => {
    const fillet = (radius: number): Float64Array =>
      shapes.turned(
        shapes.dihedral({ turningDeg: 90, arm: 12, length: LENGTH, fillet: radius, filletFacets: 16 }),
        5,
      );
    expect(await left(fillet(2), [cutter(8, 1.5), flat(8)], T, 0.5)).toEqual([0, 0]);
    const [ofBull] = await left(fillet(2), [cutter(8, 1.5)], T, 1);
    const arc = 2 * 16 * 2 * sin(PI / 4 / 16);
    expectShare(ofBull, LENGTH * (arc + 2 * (2.5 - 2) - 2 * within(2.5, T)), 0.03);
  });

  test('a tapered ball-nose along a wall that leans by its half-angle: the strips of a ball of RE + s', async () => {
    const corners = shapes.dihedral({ turningDeg: 85, arm: 14, length: LENGTH });
    const [found] = await left(corners, [cutter(4, 2, 5, 8)], T, 0.5);
    expectShare(found, 2 * LENGTH * (2.5 * tan(rad(42.5)) - within(2.5, T)));
  });

  test('a slot wider than the cutter, but not than cutter and allowance: nothing below its mouth', async () => {
    const [width, depth] = [6, 8];
    const areas: number[][] = [];
    for (const length of [30, 42]) {
      areas.push(
        await left(shapes.turned(shapes.throughSlot(width, depth, length), 5.1), [flat(5.5)], T, 0.5),
      );
    }
    // The grown corner, rounded by 0.5, sinks by what its overhang of 0.25 on each side lets in.
    const z = sqrt((0.5 + T) ** 2 - 0.25 ** 2) - sqrt(0.5 ** 2 - 0.25 ** 2);
    expectShare(areas[1][0] - areas[0][0], 12 * (width + 2 * (depth - z)), 0.01);
    const [open] = await left(shapes.turned(shapes.throughSlot(width, depth, 30), 5.1), [flat(5)], T, 0.5);
    expectShare(open, 4 * 30 * (0.5 - within(0.5, T)), 0.03);
  });

  // Section between two planes that a corner rounding r leaves: r² (tan(φ / 2) - φ / 2); two lengths, for the
  // open ends.
  test.each([
    [0, 2],
    [1, 1.5],
  ])('rest volume in the foot of a wall, RE %d and allowance %d', async (RE, s) => {
    const volumes: number[] = [];
    for (const length of [16, 40]) {
      const {
        cutters: [own],
      } = await analysed(floorAndWall(90, length), [cutter(8, RE)], T, s);
      volumes.push(own.restVolumeMm3 ?? NaN);
    }
    expectShare((volumes[1] - volumes[0]) / 24, (RE + s) ** 2 * (1 - PI / 4), 0.03);
  });
});

test('where the refinement was stopped, a finding says so, and names the cutter', async () => {
  const corners = shapes.turned(shapes.dihedral({ turningDeg: 90, arm: 14, length: 16 }), 23.7);
  const stopped = await analysed(corners, [cutter(6, 1)], T, 0, { mostAdded: 20 });
  expect(stopped.findings).toEqual([
    expect.objectContaining({ code: 'reach.refinement-capped', severity: 'warning' }),
  ]);
  expect(stopped.findings[0].message).toContain('c6-1-0');
  expect((await analysed(corners, [cutter(6, 1)])).findings).toEqual([]);
});

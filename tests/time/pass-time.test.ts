import { describe, expect, test } from 'vitest';
import type { Strategy } from '../../src/time/finishing-surface.js';
import { PLACEHOLDER_MACHINE, type Machine } from '../../src/time/machine.js';
import { passExtents, passPieces } from '../../src/time/pass-pieces.js';
import {
  facetMinutes,
  feedOnCurve,
  passTimes,
  totalPassTime,
  type PassPlan,
} from '../../src/time/pass-time.js';
import { maskedTotal } from '../../src/time/path-length.js';
import { restToRestSeconds } from '../../src/time/segment-time.js';
import { zigZagSeconds } from '../support/zig-zag.js';
import {
  cylinderStrip,
  joinPatches,
  sphereZone,
  surfaceOf,
  tiltedPlane,
  twinsOf,
  type Patch,
} from './patches.js';

const rad = (degrees: number) => (degrees * Math.PI) / 180;
const waterline: Strategy = { kind: 'waterline' };
const raster = (feedDeg: number): Strategy => ({ kind: 'raster', feedRad: rad(feedDeg) });
const machine: Machine = {
  ...PLACEHOLDER_MACHINE,
  accelerationMmPerS2: 2000,
  jerkMmPerS3: null,
  blockTimeMs: 1,
  clearanceMm: 0,
  approachMm: 0,
};
const plan = (strategy: Strategy, spacingMm: number, more: Partial<PassPlan> = {}): PassPlan => ({
  strategy,
  spacingMm,
  cutter: { DC: 6, RE: 3 },
  feedMmPerMin: 5000,
  machine,
  ...more,
});
const inRegions = ({ mesh, corners }: Patch, regionOf = new Int32Array(corners.length / 9), count = 1) => ({
  mesh,
  topology: twinsOf(mesh),
  regionOf,
  count,
});
const timeOf = (patch: Patch, at: PassPlan) => passTimes(surfaceOf(patch), inRegions(patch), at)[0];

// 100 x 50 zig-zag, s 0.3, F5000, a2000: naive 3.333 min, 3.517 min with stops and links (closed form,
// textbook).
test('raster over a level 100 x 50: the closed form of the zig-zag', () => {
  const at = timeOf(tiltedPlane(100, 50, 0, 25), plan(raster(25 + 90), 0.3));
  const closed = zigZagSeconds(100, 50 / 0.3, 0.3, 5000, machine);
  const hop = restToRestSeconds(Math.sqrt(5000) / 2, machine.rapidMmPerMin, machine);
  expect(at.naiveMinutes).toBeCloseTo(3.3333, 4);
  expect(Math.abs(60 * at.dynamicMinutes - closed - hop)).toBeLessThan(1e-6);
  expect(closed / 60).toBeCloseTo(3.517, 2);
  const lines = 50 / 0.3;
  expect([at.passes, at.pieces, at.links, at.airMoves]).toEqual(
    [lines, lines, lines - 1, 1].map((count) => expect.closeTo(count, 9)),
  );
});

describe('pieces', () => {
  const piecesOf = (patch: Patch, strategy: Strategy, spacing: number) => {
    const { passes, pieces } = passPieces(passExtents(inRegions(patch), strategy), spacing);
    return [passes[0], pieces[0]];
  };
  test('closed loops round a sphere: one per level', () => {
    const [passes, pieces] = piecesOf(sphereZone(20, 30, 90, 64, 8), waterline, 0.5);
    expect(passes).toBeCloseTo((20 * Math.cos(rad(30))) / 0.5, 9);
    expect(pieces).toBe(passes);
  });
  test('a ring cut by planes: two pieces wherever a plane crosses the hole', () => {
    // Annulus in plan between radii 20 sin 30 and 20: all planes over 40, those over the hole of 20 cut it
    // twice.
    const [passes, pieces] = piecesOf(sphereZone(20, 30, 90, 720, 8), raster(0), 0.5);
    expect(passes).toBeCloseTo(40 / 0.5, 6);
    expect(pieces).toBeCloseTo((40 + 20) / 0.5, 6);
  });
  test('regions are counted apart, facets outside not at all', () => {
    const two = joinPatches([tiltedPlane(10, 20, 40, 10), tiltedPlane(30, 8, 40, 10), tiltedPlane(5, 5, 40)]);
    const regionOf = Int32Array.from({ length: 72 }, (_, f) => (f < 24 ? 0 : f < 48 ? 1 : -1));
    const { pieces } = passPieces(passExtents(inRegions(two, regionOf, 2), waterline), 0.25);
    expect(pieces[0]).toBeCloseTo((20 * Math.sin(rad(40))) / 0.25, 9);
    expect(pieces[1]).toBeCloseTo((8 * Math.sin(rad(40))) / 0.25, 9);
  });
});

describe('slow-down on curves', () => {
  // v = √(a rho): rho 1, a 2000: 2683 mm/min; v = seg/t_block with seg = 2 √(2 e rho).
  test('held to the centripetal speed, to the block time, or to nothing', () => {
    const at = { ...machine, blockTimeMs: 0, cornerToleranceMm: 0.1, chordToleranceMm: 0.01 };
    expect(Math.abs(feedOnCurve(1, 10_000, at) - 2683)).toBeLessThan(0.5);
    const blockMm = 2 * Math.sqrt(0.02);
    expect(feedOnCurve(1, 10_000, { ...at, blockTimeMs: 20 })).toBeCloseTo((60_000 * blockMm) / 20, 9);
    expect(feedOnCurve(1, 2000, at)).toBe(2000);
    expect(feedOnCurve(Infinity, 2000, at)).toBe(2000);
    expect(feedOnCurve(0, 2000, at)).toBe(feedOnCurve(0.1, 2000, at));
    expect(feedOnCurve(0, 2000, at)).toBeGreaterThan(0);
  });

  test('a fillet of radius 4 fed round: the centre of an R3 ball runs on radius 1', () => {
    const smooth = { ...machine, blockTimeMs: 0, cornerToleranceMm: 0.1 };
    const at = plan(raster(0), 0.3, { machine: smooth, feedMmPerMin: 10_000 });
    const surface = surfaceOf(cylinderStrip(4, 5, 85, 30, true, 200));
    const arc = rad(80);
    const lines = 30 / 0.3;
    expect(maskedTotal(facetMinutes(surface, at)) / ((lines * arc) / 2683.28)).toBeCloseTo(1, 3);
    // Fed along the axis nothing curves: arc of 4 mm radius over 0.3 in plan.
    const along = plan(raster(90), 0.3, { machine: smooth, feedMmPerMin: 10_000 });
    const plan4 = 4 * (Math.sin(rad(85)) - Math.sin(rad(5)));
    expect(maskedTotal(facetMinutes(surface, along)) / ((30 * plan4) / 0.3 / 10_000)).toBeCloseTo(1, 3);
  });

  test('a contour on a sphere turns in plan, with the radius of its circle', () => {
    const at = plan(waterline, 0.2, {
      machine: { ...machine, blockTimeMs: 0, cornerToleranceMm: 0.1 },
      feedMmPerMin: 100_000,
    });
    const surface = surfaceOf(sphereZone(2, 39.9, 40.1, 720, 1));
    const radius = (2 + 3) * Math.sin(rad(40));
    const length = (2 * Math.PI * radius * 2 * Math.sin(rad(40)) * rad(0.2)) / 0.2;
    const minutes = length / (60 * Math.sqrt(2000 * radius));
    expect(maskedTotal(facetMinutes(surface, at)) / minutes).toBeCloseTo(1, 3);
  });
});

test('naive is never above dynamic; the shop factor comes on top; totals add up', () => {
  const patch = joinPatches([sphereZone(8, 5, 90, 48, 24), cylinderStrip(5, 10, 80, 30, true, 12)]);
  const facets = patch.corners.length / 9;
  const regionOf = Int32Array.from({ length: facets }, (_, f) => (f < 2 * 48 * 24 ? 0 : 1));
  for (const strategy of [waterline, raster(30), { kind: 'following' } as const]) {
    for (const feedMmPerMin of [300, 3000, 30_000]) {
      const at = plan(strategy, 0.2, { feedMmPerMin, machine: { ...PLACEHOLDER_MACHINE, timeFactor: 1.3 } });
      const times = passTimes(surfaceOf(patch), inRegions(patch, regionOf, 2), at);
      for (const time of times) {
        expect(time.dynamicMinutes).toBeGreaterThan(time.naiveMinutes);
        expect(time.minutes / time.dynamicMinutes).toBeCloseTo(1.3, 12);
      }
      expect(totalPassTime(times).minutes).toBeCloseTo(times[0].minutes + times[1].minutes, 9);
    }
  }
});

test('nothing to cut takes no time', () => {
  const patch = tiltedPlane(10, 10, 0);
  expect(timeOf(patch, plan(waterline, 0.2)).minutes).toBe(0);
});

import { describe, expect, test } from 'vitest';
import type { FinishingSurface, Strategy } from '../../src/time/finishing-surface.js';
import { passMask } from '../../src/time/finishing-surface.js';
import { facetScallops, maskedTotal, totalsByRegion } from '../../src/time/path-length.js';
import { feedBend, framer, newFrame } from '../../src/time/pass-frame.js';
import { scallopHeight } from '../../src/time/scallop.js';
import { effectiveRadius } from '../support/effective-radius.js';
import {
  cylinderStrip,
  gridPatch,
  passLengths,
  sphereZone,
  surfaceOf,
  tiltedPlane,
  type Patch,
} from './patches.js';

const rad = (degrees: number) => (degrees * Math.PI) / 180;
const waterline: Strategy = { kind: 'waterline' };
const raster = (feedDeg: number): Strategy => ({ kind: 'raster', feedRad: rad(feedDeg) });
const total = (patch: Patch, strategy: Strategy, spacing: number) =>
  maskedTotal(passLengths(surfaceOf(patch), strategy, spacing).lengths);

// Co-area formula, Federer 1959; closed forms by hand for each shape.
describe('co-area lengths', () => {
  // The fall line lies at 25 deg to X, so no frame is aligned with an axis.
  test.each([
    ['waterline 0.2', waterline, 0.2, 3441.459],
    ['raster up the slope, 0.3', raster(25), 0.3, 4000],
    ['raster along the contours, 0.3', raster(115), 0.3, 3276.608],
    ['following, 0.3', { kind: 'following' } as const, 0.3, 4000],
  ])('plane 40 x 30 at 35 deg: %s', (_, strategy, spacing, length) => {
    const exact =
      strategy.kind === 'waterline'
        ? (1200 * Math.sin(rad(35))) / 0.2
        : length === 4000
          ? 4000
          : (1200 * Math.cos(rad(35))) / 0.3;
    expect(Math.abs(total(tiltedPlane(40, 30, 35, 25), strategy, spacing) / exact - 1)).toBeLessThan(1e-9);
    expect(Math.abs(exact - length)).toBeLessThan(5e-4);
  });

  test('cone r15 at 60 deg, dz 0.25: 4897.258', () => {
    const tip = 15 * Math.tan(rad(60));
    const cone = gridPatch(
      (u, v) => {
        const a = 2 * Math.PI * u,
          r = 15 * (1 - v);
        const normal = [Math.sin(rad(60)) * Math.cos(a), Math.sin(rad(60)) * Math.sin(a), 0.5] as const;
        return { normal, point: [r * Math.cos(a), r * Math.sin(a), tip * v] };
      },
      512,
      1,
    );
    expect(Math.abs(total(cone, waterline, 0.25) / 4897.258 - 1)).toBeLessThan(1e-4);
  });

  test.each([
    ['hemisphere, dz 0.2', 0, 90, waterline, 0.2, 9869.604],
    ['zone 45 to 90, dz 0.2', 45, 90, waterline, 0.2, 8076.395],
    ['cap 0 to 45, raster 0.3', 0, 45, raster(17), 0.3, 2279.002],
  ])('sphere R20: %s', (_, from, to, strategy, spacing, length) => {
    expect(Math.abs(total(sphereZone(20, from, to), strategy, spacing) / length - 1)).toBeLessThan(3e-4);
  });

  test('error on the sphere shrinks about fourfold per halving of the facets', () => {
    const error = (n: number) =>
      Math.abs(total(sphereZone(20, 0, 90, 2 * n, n / 2), waterline, 1) / (Math.PI ** 2 * 200) - 1);
    expect(error(32) / error(64)).toBeGreaterThan(3.5);
    expect(error(32) / error(64)).toBeLessThan(4.5);
  });
});

// Steiner: dl_centre = (1 + R k) dl, convex positive. R3 on rho20: 1.15 and 0.85.
describe('cutter-centre correction', () => {
  const ball = { DC: 6, RE: 3 };
  test.each([
    [false, 1.15],
    [true, 0.85],
  ])('cylinder rho 20, hollow %s', (hollow, factor) => {
    const surface = surfaceOf(cylinderStrip(20, 10, 60, 30, hollow, 5));
    const ratio = (strategy: Strategy) =>
      maskedTotal(passLengths(surface, strategy, 0.3, ball).lengths) /
      maskedTotal(passLengths(surface, strategy, 0.3).lengths);
    // The mean normal leans a little against the facet, an error of second order in its size.
    expect(Math.abs(ratio(raster(0)) - factor)).toBeLessThan(2e-4);
    expect(ratio(raster(90))).toBeCloseTo(1, 9);
    expect(ratio(waterline)).toBeCloseTo(1, 9);
    expect(ratio({ kind: 'following' })).toBeCloseTo((1 + factor) / 2, 9);
  });

  test('a cylinder tighter than the cutter has no path, not a negative one', () => {
    const surface = surfaceOf(cylinderStrip(2, 10, 60, 30, true, 5));
    expect(maskedTotal(passLengths(surface, raster(0), 0.3, ball).lengths)).toBe(0);
  });

  // Contour at wall angle θ on a cone or sphere: plan circle of radius r grows by RE sin θ + Rm to the centre
  // path.
  test.each([
    [10, 1],
    [6, 3],
    [8, 0],
  ])('waterline round a sphere, D%d r%d: r + RE sin θ + Rm', (DC, RE) => {
    const surface = surfaceOf(sphereZone(20, 49.9, 50.1, 720, 1));
    const length =
      maskedTotal(passLengths(surface, waterline, 0.2, { DC, RE }).lengths) /
      maskedTotal(passLengths(surface, waterline, 0.2).lengths);
    const plan = 20 * Math.sin(rad(50));
    expect(length).toBeCloseTo((plan + RE * Math.sin(rad(50)) + DC / 2 - RE) / plan, 5);
  });
});

describe('per facet', () => {
  const ball = { DC: 6, RE: 3 };
  test.each([
    [15, 0.0249844],
    [30, 0.00667409],
    [45, 0.00333519],
    [60, 0.00222305],
  ])(
    // Closed form h = R - sqrt(R² - (dz / sin θ)² / 4).
    'waterline scallop of R3, dz 0.2 at %d deg',
    (degrees, h) => {
      const surface = surfaceOf(tiltedPlane(10, 10, degrees, 70));
      const scallops = facetScallops(surface, waterline, 0.2, ball);
      expect(Math.max(...scallops.map((at) => Math.abs(at - h)))).toBeLessThan(1e-7);
    },
  );

  test('waterline on a level floor never meets; raster along a vertical wall neither', () => {
    expect(facetScallops(surfaceOf(tiltedPlane(10, 10, 0)), waterline, 0.2, ball)[0]).toBe(Infinity);
    expect(facetScallops(surfaceOf(tiltedPlane(10, 10, 90)), raster(90), 0.2, ball)[0]).toBe(Infinity);
  });

  test('curvature across the feed counts: cylinder rho 20 fed along its axis', () => {
    // Circle-circle form, R3 rho20 spacing 0.3: convex 0.00431652, concave 0.00318867.
    for (const [hollow, h] of [
      [false, 0.00431652],
      [true, 0.00318867],
    ] as const) {
      const surface = surfaceOf(cylinderStrip(20, 10, 60, 30, hollow, 5));
      const along = passLengths(surface, raster(90), 1).gradients;
      const scallops = facetScallops(surface, { kind: 'following' }, 0.3, ball);
      expect(scallops[0]).toBeCloseTo(scallopHeight(3, 0.3, hollow ? -1 / 40 : 1 / 40), 9);
      const across = facetScallops(surface, raster(90), 0.3 * along[4], ball);
      expect(Math.abs(across[4] - h)).toBeLessThan(6e-9);
    }
  });

  test('bull-nose raster on a slope takes the effective radius of the feed direction', () => {
    const surface = surfaceOf(tiltedPlane(10, 10, 30, 20));
    for (const feed of [20, 65, 110]) {
      const spacing = 0.4 / passLengths(surface, raster(feed), 1).gradients[0];
      const expected = scallopHeight(effectiveRadius(10, 1, rad(30), rad(feed - 20)), spacing);
      expect(facetScallops(surface, raster(feed), 0.4, { DC: 10, RE: 1 })[0]).toBeCloseTo(expected, 10);
    }
  });

  test('flat end: stairs on a slope, nothing on a floor until it steps further than its width', () => {
    const flat = { DC: 10, RE: 0 };
    expect(facetScallops(surfaceOf(tiltedPlane(10, 10, 60)), waterline, 0.2, flat)[0]).toBeCloseTo(
      0.2 * Math.cos(rad(60)),
      12,
    );
    expect(facetScallops(surfaceOf(tiltedPlane(10, 10, 0)), raster(0), 9.9, flat)[0]).toBe(0);
    expect(facetScallops(surfaceOf(tiltedPlane(10, 10, 0)), raster(0), 10.1, flat)[0]).toBe(Infinity);
  });

  test('curvature along the feed: 1/r on a sphere; on a cylinder it follows Euler', () => {
    const bends = (surface: FinishingSurface, strategy: Strategy): Float64Array => {
      const frame = newFrame(),
        place = framer(strategy);
      return surface.areas.map((_, f) => {
        const [x, y, z] = surface.normals.subarray(3 * f, 3 * f + 3);
        place(x, y, z, frame);
        return feedBend(surface, f, strategy, frame);
      });
    };
    const sphere = surfaceOf(sphereZone(7, 20, 80, 24, 6));
    for (const k of bends(sphere, raster(33))) expect(Math.abs(7 * k - 1)).toBeLessThan(0.01);
    const cylinder = surfaceOf(cylinderStrip(5, 0, 1, 30, false, 1));
    expect(bends(cylinder, raster(30))[0]).toBeCloseTo(Math.cos(rad(30)) ** 2 / 5, 4);
  });
});

test('totals by mask and region; the overlap is cut by both passes', () => {
  const surface = surfaceOf(sphereZone(10, 0, 90, 32, 90), 45, 3);
  const steep = maskedTotal(surface.areas, passMask(surface.classOf, 'waterline'));
  const shallow = maskedTotal(surface.areas, passMask(surface.classOf, 'raster'));
  const all = maskedTotal(surface.areas, passMask(surface.classOf, 'following'));
  const overlap = maskedTotal(
    surface.areas,
    surface.classOf.map((c) => (c === 2 ? 1 : 0)),
  );
  expect(overlap).toBeGreaterThan(0);
  expect(steep + shallow).toBeCloseTo(all + overlap, 9);
  const regionOf = Int32Array.from(surface.classOf, (c) => (c === 0 ? -1 : c - 1));
  expect([...totalsByRegion(surface.areas, regionOf, 3)][1]).toBeCloseTo(overlap, 9);
});

test('refuses spacing 0 and arrays that do not agree', () => {
  const surface = surfaceOf(tiltedPlane(10, 10, 30)),
    ball = { DC: 6, RE: 3 };
  expect(() => facetScallops(surface, waterline, 0, ball)).toThrow(RangeError);
  const short = { ...surface, areas: new Float64Array(3) };
  expect(() => facetScallops(short, waterline, 1, ball)).toThrow(RangeError);
  expect(() => maskedTotal(surface.areas, new Uint8Array(1))).toThrow(RangeError);
});

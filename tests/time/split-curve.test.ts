import { describe, expect, test } from 'vitest';
import { PLACEHOLDER_MACHINE } from '../../src/time/machine.js';
import { rasterDirections } from '../../src/time/raster-direction.js';
import { scallopSpacing } from '../../src/time/scallop.js';
import { passSlices, type SliceOptions } from '../../src/time/slices.js';
import { sliceLengths } from '../support/slice-lengths.js';
import { equalScallopAngle, splitCurve, splitGain, type SplitInput } from '../../src/time/split-curve.js';
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
/** The wall angle of each facet's normal, at all its corners. */
const meanAngles = (n: Float64Array): Float64Array =>
  Float64Array.from({ length: n.length }, (_, h) => {
    const o = h - (h % 3);
    return Math.atan2(Math.sqrt(n[o] * n[o] + n[o + 1] * n[o + 1]), n[o + 2]);
  });
const inputFor = (patch: Patch, more: Partial<SplitInput> = {}): SplitInput => {
  const { curvature: _, ...surface } = surfaceOf(patch);
  return {
    surface,
    mask: new Uint8Array(surface.areas.length).fill(1),
    cornerAngles: meanAngles(surface.normals),
    steps: { kind: 'scallop', heightMm: 0.005 },
    cutter: { DC: 6, RE: 3 },
    feedMmPerMin: { waterline: 1000, raster: 1000 },
    rasterFeedRad: 0,
    overlapRad: 0,
    machine: PLACEHOLDER_MACHINE,
    ...more,
  };
};
const cornerAngles = ({ normals }: Patch) =>
  Float64Array.from({ length: normals.length / 3 }, (_, k) =>
    Math.atan2(Math.sqrt(normals[3 * k] ** 2 + normals[3 * k + 1] ** 2), normals[3 * k + 2]),
  );

/** Integral by midpoints over the wall angle from `a` to `b` degrees of a sphere of radius 20, mm². */
const overSphere = (a: number, b: number, gradient: (theta: number, phi: number) => number) => {
  const [n, m] = [400, 400];
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const theta = rad(a + ((i + 0.5) * (b - a)) / n);
    for (let j = 0; j < m; j++) sum += gradient(theta, (2 * Math.PI * (j + 0.5)) / m) * Math.sin(theta);
  }
  return (sum * 400 * rad(b - a) * 2 * Math.PI) / n / m;
};
const level = (theta: number) => Math.sin(theta);
const upright = (theta: number, phi: number) => Math.sqrt(1 - (Math.sin(theta) * Math.sin(phi)) ** 2);

// Equal steps cross at 45 deg: tan θ* = dz/sxy; 0.5, 1, 2 give 26.5651, 45, 63.4349 (both scallops R - √(R² -
// s²/4)).
test.each([
  [0.5, 26.5651],
  [1, 45],
  [2, 63.4349],
])('equal scallops, dz/sxy %d: %d deg', (ratio, degrees) => {
  expect(Math.abs((equalScallopAngle(0.2 * ratio, 0.2) * 180) / Math.PI - degrees)).toBeLessThan(5e-5);
});

describe('hemisphere R20, scallop 0.005 with R3', () => {
  const dome = sphereZone(20, 0, 90, 180, 90);
  const spacing = scallopSpacing(3, 0.005);

  test.each([10, 30, 45, 60, 80])('split at %d deg: the integrals over both zones', (degrees) => {
    const at = splitCurve(inputFor(dome)).points[degrees];
    expect(at.stepdownMm / (spacing * Math.sin(rad(degrees)))).toBeCloseTo(1, 1);
    expect((at.waterlineMinutes * at.stepdownMm * 1000) / overSphere(degrees, 90, level)).toBeCloseTo(1, 2);
    expect((at.rasterMinutes * at.stepoverMm * 1000) / overSphere(0, degrees, upright)).toBeCloseTo(1, 2);
  });

  test('the overlap is cut twice: the raster goes on to split + overlap', () => {
    const plain = splitCurve(inputFor(dome)),
      lapped = splitCurve(inputFor(dome, { overlapRad: rad(5) }));
    expect(lapped.points[40].waterlineMinutes).toBe(plain.points[40].waterlineMinutes);
    expect(lapped.points[40].rasterMinutes).toBeCloseTo(plain.points[45].rasterMinutes, 6);
  });

  test('facets across the split count by their shares: coarse facets give nearly the fine curve', () => {
    const coarse = sphereZone(20, 0, 90, 48, 6);
    const spread = splitCurve(inputFor(coarse, { cornerAngles: cornerAngles(coarse) })).points;
    const fine = splitCurve(inputFor(dome)).points;
    for (const degrees of [20, 37, 45, 52, 70]) {
      const unit = (at: (typeof fine)[0]) => at.waterlineMinutes * at.stepdownMm;
      expect(unit(spread[degrees]) / unit(fine[degrees])).toBeCloseTo(1, 1);
      expect(Math.abs(unit(spread[degrees]) / unit(fine[degrees]) - 1)).toBeLessThan(0.03);
    }
  });

  test('one strategy for all: steps near 0 at top or rim; following is finite', () => {
    const { single, fastest } = splitCurve(inputFor(dome, { cornerAngles: cornerAngles(dome) }));
    expect(single.following).toBeCloseTo((2 * Math.PI * 400) / spacing / 1000, 2);
    expect(single.waterline).toBeGreaterThan(10 * fastest.minutes);
    expect(single.raster).toBeGreaterThan(10 * fastest.minutes);
    expect(splitGain(fastest, single.following)).toBeLessThan(0);
    expect(splitGain(fastest, Infinity)).toBe(1);
  });
});

// The same minutes by laying the passes: every whole degree sliced with the steps of the curve.
test('slices at 1 deg steps confirm the minimum', () => {
  const patch = joinPatches([sphereZone(12, 0, 90, 120, 90), cylinderStrip(30, 1, 61, 15, false, 60)]);
  const input = inputFor(patch, { overlapRad: rad(3), steps: { kind: 'scallop', heightMm: 0.005 } });
  const { points, fastest } = splitCurve(input);
  const topology = twinsOf(patch.mesh);
  const angles = Array.from(input.surface.areas, (_, f) => {
    const [x, y, z] = input.surface.normals.subarray(3 * f, 3 * f + 3);
    return Math.atan2(Math.sqrt(x * x + y * y), z);
  });
  const length = (strategy: SliceOptions['strategy'], spacingMm: number, inside: (a: number) => boolean) => {
    const mask = Uint8Array.from(angles, (angle) => (inside(angle) ? 1 : 0));
    const options = { strategy, spacingMm, offsetMm: 0.37 * spacingMm, mask };
    return sliceLengths(passSlices(patch.mesh, topology, options)).reduce((a, b) => a + b, 0);
  };
  const sliced = points.slice(20, 71).map((at) => {
    const top = at.angleRad + rad(3);
    const up = length({ kind: 'waterline' }, at.stepdownMm, (angle) => angle >= at.angleRad);
    const across = length({ kind: 'raster', feedRad: 0 }, at.stepoverMm, (angle) => angle < top);
    // The bounds for the formula: one longest contour for the waterline (circle and two straights), 1 % for
    // the raster.
    expect(Math.abs(up - 1000 * at.waterlineMinutes)).toBeLessThan(24 * Math.PI + 30);
    expect(Math.abs(across / at.rasterMinutes / 1000 - 1)).toBeLessThan(0.01);
    return { angleRad: at.angleRad, minutes: (up + across) / 1000 };
  });
  const lowest = sliced.reduce((best, at) => (at.minutes < best.minutes ? at : best));
  expect(Math.abs(lowest.angleRad - fastest.angleRad)).toBeLessThan(rad(2.5));
  expect(fastest.angleRad).toBeGreaterThan(rad(20));
  expect(fastest.angleRad).toBeLessThan(rad(70));
});

test('floors and walls only: any split is as good, 45 is told, and each pass has its full step', () => {
  const patch = joinPatches([tiltedPlane(30, 30, 0), tiltedPlane(30, 10, 90)]);
  const { fastest, points } = splitCurve(inputFor(patch));
  expect((fastest.angleRad * 180) / Math.PI).toBeCloseTo(45, 9);
  expect(fastest.minutes).toBeCloseTo((900 + 300) / scallopSpacing(3, 0.005) / 1000, 9);
  expect(points[0].minutes).toBe(Infinity);
});

test('fixed steps: minutes are lengths over feed, each pass with its own feed', () => {
  const steps = { kind: 'fixed', stepdownMm: 0.2, stepoverMm: 0.3 } as const;
  const feedMmPerMin = { waterline: 2000, raster: 800 };
  const patch = joinPatches([tiltedPlane(40, 30, 35, 25), tiltedPlane(40, 30, 70, 25)]);
  const { points } = splitCurve(inputFor(patch, { steps, feedMmPerMin, rasterFeedRad: rad(25) }));
  expect(points[45].waterlineMinutes).toBeCloseTo((1200 * Math.sin(rad(70))) / 0.2 / 2000, 9);
  expect(points[45].rasterMinutes).toBeCloseTo(1200 / 0.3 / 800, 9);
  expect(points[80].waterlineMinutes).toBe(0);
});

describe('raster direction', () => {
  const of = (patch: Patch, steps: SplitInput['steps'], regionOf?: Int32Array, regions = 1) => {
    const { surface, cutter, machine } = inputFor(patch);
    const zeros = new Int32Array(surface.areas.length);
    return rasterDirections({
      surface,
      cutter,
      machine,
      feedMmPerMin: 1000,
      steps,
      regionOf: regionOf ?? zeros,
      regions,
    });
  };
  // Slope θ, fall at 25 deg: up the fall A/s; along the contours A cos θ / s. At an asked scallop height the
  // step shrinks with the gradient, so the length is A/spacing whichever way; fixed steps favour the
  // contours.
  test('fixed steps: along the contours, A cos θ / stepover', () => {
    const { overall } = of(tiltedPlane(40, 30, 35, 25), { kind: 'fixed', stepdownMm: 1, stepoverMm: 0.3 });
    expect((overall.feedRad * 180) / Math.PI).toBeCloseTo(115, 9);
    expect(overall.minutes).toBeCloseTo((1200 * Math.cos(rad(35))) / 0.3 / 1000, 9);
  });
  test('asked scallop: a ridge that curves one way is fed up and down, where every step may be full', () => {
    const { overall } = of(cylinderStrip(20, 1, 44, 30, false), { kind: 'scallop', heightMm: 0.005 });
    expect(overall.feedRad).toBe(0);
    expect(overall.minutes).toBeCloseTo((20 * rad(43) * 30) / scallopSpacing(3, 0.005) / 1000, 3);
  });
  test('each region has its own', () => {
    const patch = joinPatches([tiltedPlane(40, 30, 35, 25), tiltedPlane(40, 30, 35, 70)]);
    const regionOf = Int32Array.from({ length: 48 }, (_, f) => (f < 24 ? 0 : 1));
    const { byRegion, overall } = of(patch, { kind: 'fixed', stepdownMm: 1, stepoverMm: 0.3 }, regionOf, 2);
    expect(byRegion.map(({ feedRad }) => Math.round((feedRad * 180) / Math.PI))).toEqual([115, 160]);
    expect(byRegion[0].minutes + byRegion[1].minutes).toBeLessThan(overall.minutes);
  });
});

test('refuses', () => {
  const patch = tiltedPlane(10, 10, 30);
  expect(() => splitCurve(inputFor(patch, { cornerAngles: new Float64Array(3) }))).toThrow(RangeError);
  expect(() => splitCurve(inputFor(patch, { mask: new Uint8Array(3) }))).toThrow(RangeError);
});

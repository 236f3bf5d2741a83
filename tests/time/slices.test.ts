import { describe, expect, test } from 'vitest';
import type { Strategy } from '../../src/time/finishing-surface.js';
import { maskedTotal } from '../../src/time/path-length.js';
import { passSlices, type SliceOptions, type Slices } from '../../src/time/slices.js';
import { sliceLengths } from '../support/slice-lengths.js';
import {
  gridPatch,
  passLengths,
  sphereZone,
  surfaceOf,
  tiltedPlane,
  twinsOf,
  type Patch,
} from './patches.js';

const rad = (degrees: number) => (degrees * Math.PI) / 180;
const waterline = { kind: 'waterline' } as const;
const raster = (feedDeg: number) => ({ kind: 'raster', feedRad: rad(feedDeg) }) as const;
const cut = ({ mesh }: Patch, options: SliceOptions) => passSlices(mesh, twinsOf(mesh), options);
const total = (slices: Slices) => maskedTotal(sliceLengths(slices));
const formula = (patch: Patch, strategy: Strategy, spacing: number) =>
  maskedTotal(passLengths(surfaceOf(patch), strategy, spacing).lengths);

const longestPlane = (slices: Slices) => {
  const byPlane = new Map<number, number>();
  sliceLengths(slices).forEach((length, l) => {
    byPlane.set(slices.plane[l], (byPlane.get(slices.plane[l]) ?? 0) + length);
  });
  return Math.max(...byPlane.values());
};

/** Hills without symmetry: a free-form patch of 60 x 50. */
const hills = gridPatch(
  (u, v) => {
    const [x, y] = [60 * u, 50 * v];
    const z = 6 * Math.sin(x / 9) * Math.cos(y / 13) + 3 * Math.sin((x + 2 * y) / 17) + 0.05 * x;
    const zx = (6 / 9) * Math.cos(x / 9) * Math.cos(y / 13) + (3 / 17) * Math.cos((x + 2 * y) / 17) + 0.05;
    const zy = (-6 / 13) * Math.sin(x / 9) * Math.sin(y / 13) + (6 / 17) * Math.cos((x + 2 * y) / 17);
    const length = Math.sqrt(1 + zx * zx + zy * zy);
    return { point: [x, y, z], normal: [-zx / length, -zy / length, 1 / length] };
  },
  120,
  100,
);

/** One hump with a foot of any shape: contours lengthen downwards, then stop at the rim. */
const hump = gridPatch(
  (u, v) => {
    const a = 2 * Math.PI * u,
      r = 20 * (1 - 0.99 * v) * (1 + 0.2 * Math.sin(2 * a) + 0.1 * Math.cos(3 * a));
    return { point: [r * Math.cos(a), r * Math.sin(a), 18 * (1 - (1 - 0.99 * v) ** 2)], normal: [0, 0, 1] };
  },
  180,
  60,
);

describe('against the co-area formula', () => {
  // On a plane every pass is as long as the next: with a whole number of passes both agree to rounding.
  test.each([
    ['waterline', waterline, (30 * Math.sin(rad(35))) / 86],
    ['raster across the fall', raster(25), 40 / 133],
    ['raster along the contours', raster(115), (30 * Math.cos(rad(35))) / 82],
  ])('plane 40 x 30 at 35 deg, %s: 1e-9', (_, strategy, spacing) => {
    const plane = tiltedPlane(40, 30, 35, 25, 7, 9);
    const exact =
      strategy.kind === 'waterline'
        ? (1200 * Math.sin(rad(35))) / spacing
        : strategy.feedRad === rad(25)
          ? 1200 / spacing
          : (1200 * Math.cos(rad(35))) / spacing;
    const slices = cut(plane, { strategy, spacingMm: spacing, offsetMm: spacing / 2 });
    expect(Math.abs(total(slices) / exact - 1)).toBeLessThan(1e-9);
    expect(slices.plane.length).toBe(Math.round(exact / sliceLengths(slices)[0]));
  });

  // Hemisphere R20: formula pi² R²/(2 dz); counted mid-offset at dz 1: 1976.332; any offset within one
  // contour.
  test('hemisphere R20: within one longest contour at any offset, the mean within 0.01 %', () => {
    const dome = sphereZone(20, 0.01, 90, 180, 120);
    const topology = twinsOf(dome.mesh);
    const slice = (offsetMm: number) =>
      total(passSlices(dome.mesh, topology, { strategy: waterline, spacingMm: 1, offsetMm }));
    expect(Math.abs(slice(0.5) - 1976.332)).toBeLessThan(0.5);
    const exact = formula(dome, waterline, 1);
    let sum = 0;
    for (let i = 0; i < 50; i++) {
      const at = slice((i + 0.5) / 50);
      expect(Math.abs(at - exact)).toBeLessThan(2 * Math.PI * 20);
      sum += at;
    }
    expect(Math.abs(sum / 50 / exact - 1)).toBeLessThan(1e-4);
  });

  test.each([0, 0.13, 0.29])('free form, one hump, offset %d: within one longest contour', (offsetMm) => {
    const slices = cut(hump, { strategy: waterline, spacingMm: 0.4, offsetMm });
    const exact = maskedTotal(passLengths(flatShaded(hump), waterline, 0.4).lengths);
    expect(Math.abs(total(slices) - exact)).toBeLessThan(longestPlane(slices));
  });

  test.each([0, 37, 90, 141])('free form, raster fed at %d deg: within 1 %', (feedDeg) => {
    const slices = cut(hills, { strategy: raster(feedDeg), spacingMm: 0.4, offsetMm: 0.1 });
    expect(Math.abs(total(slices) / formula(hills, raster(feedDeg), 0.4) - 1)).toBeLessThan(0.01);
  });
});

describe('polylines', () => {
  test('one closed loop per level round a sphere zone, though vertices lie on the planes', () => {
    // Rings of vertices at heights 0, 1 .. 10: every plane passes through a ring.
    const steps = gridPatch(
      (u, v) => {
        const a = 2 * Math.PI * u;
        return { point: [(12 - 6 * v) * Math.cos(a), (12 - 6 * v) * Math.sin(a), 10 * v], normal: [1, 0, 0] };
      },
      36,
      10,
    );
    const slices = cut(steps, { strategy: waterline, spacingMm: 1, offsetMm: 0 });
    expect([...slices.plane]).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    expect([...slices.closed]).toEqual(new Array(10).fill(1));
    for (let l = 0; l < 10; l++) {
      const [a, b] = [3 * slices.start[l], 3 * slices.start[l + 1] - 3];
      const last = [...slices.points.subarray(b, b + 3)];
      expect([...slices.points.subarray(a, a + 3)]).toEqual(last.map((x) => expect.closeTo(x, 12)));
      expect(slices.points[a + 2]).toBeCloseTo(slices.plane[l], 12);
      // Polygon of 36 corners on radius 12 - 0.6 z.
      const radius = 12 - 0.6 * slices.plane[l];
      expect(sliceLengths(slices)[l]).toBeCloseTo(72 * Math.sin(Math.PI / 36) * radius, 9);
    }
  });

  test('the higher side lies to the left, seen from outside', () => {
    const { points } = cut(tiltedPlane(40, 30, 35, 0), { strategy: waterline, spacingMm: 100, offsetMm: 5 });
    // Fall towards +X: uphill is -X, and from above +Y turned left is -X.
    expect(points[1]).toBeLessThan(points[points.length - 2]);
  });

  test('a mask cuts loops open; nothing inside gives nothing', () => {
    const zone = sphereZone(10, 30, 80, 24, 6);
    const mask = Uint8Array.from({ length: 2 * 24 * 6 }, (_, f) => (Math.floor(f / 2) % 24 < 12 ? 1 : 0));
    const options = { strategy: waterline, spacingMm: 1, offsetMm: 0.5 };
    const half = cut(zone, { ...options, mask });
    const whole = cut(zone, options);
    expect([...half.closed]).toEqual(new Array(whole.closed.length).fill(0));
    expect(total(half)).toBeCloseTo(total(whole) / 2, 6);
    const none = cut(zone, { ...options, mask: new Uint8Array(mask.length) });
    expect([none.start.length, none.points.length]).toEqual([1, 0]);
  });

  test('order of the facets changes nothing but the order of the polylines', () => {
    const { mesh } = hills;
    const order = Array.from({ length: mesh.triangles.length / 3 }, (_, f) => f).reverse();
    const triangles = order.flatMap((f) => [...mesh.triangles.subarray(3 * f, 3 * f + 3)]);
    const turned = { ...mesh, triangles: Uint32Array.from(triangles) };
    const options = { strategy: raster(20), spacingMm: 2, offsetMm: 0 };
    const a = passSlices(mesh, twinsOf(mesh), options),
      b = passSlices(turned, twinsOf(turned), options);
    expect(b.plane.length).toBe(a.plane.length);
    expect(total(b)).toBeCloseTo(total(a), 9);
  });

  test('refuses', () => {
    expect(() => cut(hump, { strategy: waterline, spacingMm: 0, offsetMm: 0 })).toThrow(RangeError);
    const options = { strategy: waterline, spacingMm: 1, offsetMm: 0 };
    expect(() => passSlices(hump.mesh, { twin: new Int32Array(3) }, options)).toThrow(RangeError);
  });
});

/** The patch with the normals of its facets, from the corners alone. */
function flatShaded({ mesh, corners }: Patch) {
  const normals = new Float64Array(corners.length);
  for (let o = 0; o < corners.length; o += 9) {
    const e = [0, 1, 2].map((i) => corners[o + 3 + i] - corners[o + i]);
    const g = [0, 1, 2].map((i) => corners[o + 6 + i] - corners[o + i]);
    const n = [e[1] * g[2] - e[2] * g[1], e[2] * g[0] - e[0] * g[2], e[0] * g[1] - e[1] * g[0]];
    const length = Math.sqrt(n[0] ** 2 + n[1] ** 2 + n[2] ** 2) || 1;
    for (let k = 0; k < 3; k++)
      normals.set(
        n.map((x) => x / length),
        o + 3 * k,
      );
  }
  return surfaceOf({ mesh, corners, normals });
}

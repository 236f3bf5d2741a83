import { describe, expect, test } from 'vitest';
import { RAD_PER_DEG } from '../src/core/units.js';
import { SOLIDS } from './support/closed-forms.js';
import * as shapes from './support/shapes.js';
import { asciiStl, binaryStl } from './support/stl.js';

describe.each(Object.entries(SOLIDS))('%s', (_, make) => {
  const { corners, volume, area } = make();

  test('is closed, and measures as its closed form', () => {
    const got = shapes.measureSoup(corners);
    expect(got.unmatchedEdges).toBe(0);
    expect(got.degenerate).toBe(0);
    expect(got.volume / volume).toBeCloseTo(1, 11);
    expect(got.area / area).toBeCloseTo(1, 11);
  });

  test('stays so in every variant', () => {
    for (const variant of shapes.variants(corners)) {
      const got = shapes.measureSoup(variant.corners);
      expect(got.unmatchedEdges, variant.name).toBe(0);
      expect(got.volume / (volume * variant.scale ** 3), variant.name).toBeCloseTo(1, 5);
      expect(got.area / (area * variant.scale ** 2), variant.name).toBeCloseTo(1, 5);
    }
  });
});

// Smooth areas: Pappus-Guldin and Archimedes; the values are those of a 60 x 60 plate with floor radius 17,
// fillet 3.
test('the round pocket tends to the smooth benchmark, four times closer per halving', () => {
  const errors = [64, 128, 256].map((segments) => {
    const corners = shapes.roundPocket({ segments, filletFacets: segments / 4 });
    const parts = {
      floor: shapes.areaWhere(corners, ([, , z], n) => z < 1e-9 && n[2] > 0.999999),
      top: shapes.areaWhere(corners, ([, , z], n) => z > 14.999 && n[2] > 0.999999),
      wall: shapes.areaWhere(
        corners,
        ([x, y], n) => Math.abs(n[2]) < 1e-9 && Math.max(Math.abs(x), Math.abs(y)) < 29,
      ),
      fillet: shapes.areaWhere(corners, ([, , z], n) => z > 0 && n[2] > 0.001 && n[2] < 0.999999),
    };
    const smooth = { floor: 907.9203, top: 2343.3629, wall: 1507.9645, fillet: 559.8985 };
    return (['floor', 'top', 'wall', 'fillet'] as const).map((key) => Math.abs(parts[key] / smooth[key] - 1));
  });
  errors[2].forEach((error, i) => {
    expect(error).toBeLessThan(2.5e-4);
    expect(errors[0][i] / error).toBeGreaterThan(15);
  });
});

test('ramps each have their area at their angle', () => {
  const corners = shapes.multiRamp();
  for (const degrees of shapes.RAMP_ANGLES_DEG) {
    const area = shapes.areaWhere(corners, (_, n) => Math.abs(n[2] - Math.cos(degrees * RAD_PER_DEG)) < 1e-9);
    expect(area).toBeCloseTo(shapes.RAMP.slope * shapes.RAMP.depth, 9);
  }
});

test('icosphere vertices lie on the ball, 20 x 4^n triangles', () => {
  const corners = shapes.icosphere(10, 3);
  expect(corners.length / 9).toBe(1280);
  expect(shapes.measureSoup(corners).unmatchedEdges).toBe(0);
  for (let i = 0; i < corners.length; i += 3) {
    expect(Math.sqrt(corners[i] ** 2 + corners[i + 1] ** 2 + corners[i + 2] ** 2)).toBeCloseTo(10, 12);
  }
});

test('the sharp box pocket has as few triangles as it can', () => {
  expect(shapes.boxPocket({ width: 30, length: 20, depth: 10 }).length / 9).toBe(28);
});

test('a pocket turned out of sight of its tile is refused', () => {
  const tile = (turnDeg: number): shapes.PocketTile => ({
    facets: 8,
    turnDeg,
    rings: [0, -5].map((z) => ({ halfX: 4, halfY: 4, radius: 4, z })),
  });
  const plate = (turnDeg: number): Float64Array =>
    shapes.pocketPlate({ tileX: 26, tileY: 26, bottomZ: -9, tiles: [[tile(turnDeg)]] });
  expect(shapes.measureSoup(plate(28)).unmatchedEdges).toBe(0);
  expect(() => plate(40)).toThrow(RangeError);
});

test('permuting keeps the triangles and their winding, and is repeatable', () => {
  const corners = shapes.bore(5, 12, 16);
  const keys = (soup: Float64Array): string[] =>
    Array.from({ length: soup.length / 9 }, (_, f) => {
      const points = [0, 3, 6].map((i) => soup.subarray(9 * f + i, 9 * f + i + 3).join(' '));
      const least = points.indexOf([...points].sort()[0]);
      return [...points.slice(least), ...points.slice(0, least)].join(' | ');
    });
  const once = shapes.permuted(corners, 7);
  expect(keys(once)).not.toEqual(keys(corners));
  expect(keys(once).sort()).toEqual(keys(corners).sort());
  expect(shapes.permuted(corners, 7)).toEqual(once);
});

// Layout of binary STL: 80 + 4 + 50 n bytes, little-endian float32 (de facto format, no standard; common
// practice).
test('binary STL is laid out as readers expect', () => {
  const bytes = binaryStl(shapes.moved(shapes.box(1, 2, 3), [0.1, 0, 0]), 'solid by name only');
  const view = new DataView(bytes.buffer);
  expect(bytes.length).toBe(84 + 50 * 12);
  expect(view.getUint32(80, true)).toBe(12);
  expect(new TextDecoder().decode(bytes.subarray(0, 18))).toBe('solid by name only');
  const corners = shapes.rounded(shapes.moved(shapes.box(1, 2, 3), [0.1, 0, 0]));
  for (let f = 0; f < 12; f++) {
    for (let i = 0; i < 9; i++)
      expect(view.getFloat32(84 + 50 * f + 12 + 4 * i, true)).toBe(corners[9 * f + i]);
    const n = [0, 4, 8].map((at) => view.getFloat32(84 + 50 * f + at, true));
    expect(n.map(Math.abs).sort()).toEqual([0, 0, 1]);
  }
});

test('ASCII STL reads back to the same float32 numbers', () => {
  const corners = shapes.rounded(shapes.turned(shapes.box(1, 2, 3), 20));
  const text = new TextDecoder().decode(asciiStl(corners, 'box', '\r\n'));
  expect(text.startsWith('solid box\r\n')).toBe(true);
  const numbers = [...text.matchAll(/vertex (\S+) (\S+) (\S+)/g)].flatMap((m) => m.slice(1).map(Number));
  expect(numbers.map(Math.fround)).toEqual([...corners]);
});

import { beforeAll, expect, test } from 'vitest';
import { loadClipper, type Clipper } from '../../src/outlines/clipper.js';
import { cutterOutlines, offsetRings, OFFSET_DEFAULTS, simplifyRing } from '../../src/outlines/offset.js';
import type { Rings } from '../../src/outlines/ring-measures.js';
import { evenOddArea, farthest, signedArea, type Polygon } from '../support/check-rings.js';

let clipper: Clipper;
beforeAll(async () => {
  clipper = await loadClipper();
});

const polygons = (rings: Rings): Polygon[] =>
  rings.map((ring) =>
    Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i], ring[2 * i + 1]] as const),
  );
const area = (rings: Rings) => evenOddArea(polygons(rings));
const box = (x: number, y: number, w: number, h: number, clockwise = false) =>
  Float64Array.from(
    clockwise ? [x, y, x, y + h, x + w, y + h, x + w, y] : [x, y, x + w, y, x + w, y + h, x, y + h],
  );
const circle = (r: number, n: number, x = 0, y = 0) =>
  Float64Array.from({ length: 2 * n }, (_, i) =>
    i % 2 ? y + r * Math.sin((Math.PI * (i - 1)) / n) : x + r * Math.cos((Math.PI * i) / n),
  );

// Steiner's formula: a convex figure of area A and perimeter P grown by d has area A + P d + pi d^2.
test('rectangle grown and shrunk: Steiner; a hole the other way', () => {
  const frame = [box(-3, 2, 40, 20)];
  expect(area(offsetRings(frame, 3, clipper, 0.001))).toBeCloseTo(800 + 120 * 3 + 9 * Math.PI, 1);
  expect(area(offsetRings(frame, -3, clipper, 0.001))).toBeCloseTo(34 * 14, 3);
  const holed = [...frame, box(5, 5, 10, 10, true)];
  const grown = offsetRings(holed, 1, clipper, 0.001);
  expect(
    polygons(grown)
      .map((ring) => Math.sign(signedArea(ring)))
      .sort(),
  ).toEqual([-1, 1]);
  expect(area(grown)).toBeCloseTo(800 + 120 + Math.PI - 64, 2);
});

test('shrunk by more than there is: empty, not turned inside out', () => {
  expect(offsetRings([box(0, 0, 40, 20)], -10.01, clipper, 0.01)).toEqual([]);
  expect(offsetRings([], 3, clipper, 0.01)).toEqual([]);
});

test('contact, centre and run-out outlines of a round pocket are circles of R, R - DC/2, R + DC/2 + run-out', () => {
  const pocket = [circle(20, 2000, 1e4, -1e4)];
  const { contact, centre, runOut } = cutterOutlines(pocket, { DC: 6 }, clipper);
  expect(contact).toBe(pocket);
  const exact = (r: number) => polygons([circle(r, 2000, 1e4, -1e4)]);
  for (const [rings, r] of [
    [centre, 17],
    [runOut, 20 + 3 + OFFSET_DEFAULTS.runOutMm],
  ] as const) {
    expect(farthest(polygons(rings), exact(r))).toBeLessThan(0.012);
    expect(farthest(exact(r), polygons(rings))).toBeLessThan(0.012);
    expect(rings[0].length / 2).toBeLessThan(250);
  }
  expect(cutterOutlines([circle(2.9, 100)], { DC: 6 }, clipper).centre).toEqual([]);
  expect(() => cutterOutlines(pocket, { DC: 0 }, clipper)).toThrow(RangeError);
});

test('booleans: areas add up (inclusion and exclusion), also 10 m from the origin', () => {
  const a = [box(1e4, 1e4, 10, 10)],
    b = [box(1e4 + 4, 1e4 - 3, 10, 10)];
  expect(area(clipper.intersect(a, b))).toBeCloseTo(42, 3);
  expect(area(clipper.unite(a, b))).toBeCloseTo(158, 3);
  expect(area(clipper.subtract(a, b))).toBeCloseTo(58, 3);
  expect(clipper.intersect(a, [])).toEqual([]);
  expect(area(clipper.unite([], b))).toBeCloseTo(100, 3);
  expect(clipper.subtract([], b)).toEqual([]);
});

test('simplified before offsetting: a subset of the points within the tolerance', () => {
  const fine = circle(30, 20000);
  const simple = simplifyRing(fine, 0.005);
  // n of the regular polygon of that sagitta, by R (1 - cos(pi / n)).
  expect(simple.length / 2).toBeLessThan((1.1 * Math.PI) / Math.acos(1 - 0.005 / 30));
  expect(farthest(polygons([simple]), polygons([circle(30, 2000)]))).toBeLessThan(0.0052);
});

import { expect, test } from 'vitest';
import { fitArcs, FIT_TOLERANCE_MM, type ArcPath } from '../../src/outlines/fit-arcs.js';
import { flattenArcs } from '../support/flatten-arcs.js';
import { farthest, signedArea, type Polygon } from '../support/check-rings.js';

const ring = (points: readonly (readonly number[])[]) => Float64Array.from(points.flat());
const polygon = (flat: Float64Array): Polygon =>
  Array.from({ length: flat.length / 2 }, (_, i) => [flat[2 * i], flat[2 * i + 1]] as const);
const arc = (cx: number, cy: number, r: number, from: number, to: number, sides: number) =>
  Array.from({ length: sides + 1 }, (_, i) => {
    const angle = ((from + ((to - from) * i) / sides) * Math.PI) / 180;
    return [cx + r * Math.cos(angle), cy + r * Math.sin(angle)];
  });
/** Turn and shift by awkward amounts, so that nothing lies along an axis. */
const skewed = (points: readonly (readonly number[])[]) =>
  points.map(([x, y]) => [0.8 * x - 0.6 * y + 13.7, 0.6 * x + 0.8 * y - 5.1]);
/** Radii by the definition: chord (1 + b²) / (4 |b|). */
const radii = ({ points, bulges }: ArcPath) =>
  [...bulges].flatMap((b, i) => {
    const j = (i + 1) % bulges.length;
    const chord = Math.sqrt(
      (points[2 * j] - points[2 * i]) ** 2 + (points[2 * j + 1] - points[2 * i + 1]) ** 2,
    );
    return b === 0 ? [] : [(chord * (1 + b * b)) / (4 * Math.abs(b))];
  });

test.each([
  [10, 48, 1],
  [10, 48, -1],
  [3.3, 200, 1],
  [120, 160, 1],
])('circle of radius %d in %d sides: two half circles', (r, sides, way) => {
  const points = skewed(arc(4, 7, r, 0, 360, sides).slice(1));
  const path = fitArcs(ring(way > 0 ? points : [...points].reverse()));
  expect([...path.bulges]).toEqual([way, way]);
  expect(radii(path)[0]).toBeCloseTo(r, 6);
});

// A slot of length 30 between centres and radius 6: perimeter of two lines and two half circles; area 2 r L +
// pi r².
test('slot: two lines and two half circles, of exactly its radius', () => {
  const points = skewed([...arc(30, 0, 6, -90, 90, 32), ...arc(0, 0, 6, 90, 270, 32)]);
  const path = fitArcs(ring(points));
  expect([...path.bulges].map((b) => Number(b.toFixed(6))).sort()).toEqual([0, 0, 1, 1]);
  radii(path).forEach((r) => expect(r).toBeCloseTo(6, 9));
  expect(signedArea(polygon(flattenArcs(path, 1e-5)))).toBeCloseTo(2 * 6 * 30 + 36 * Math.PI, 2);
});

test('rectangle with rounded corners: four lines and four quarters; a hole runs clockwise', () => {
  const points = skewed([
    ...arc(36, 4, 4, -90, 0, 12),
    ...arc(36, 21, 4, 0, 90, 12),
    ...arc(4, 21, 4, 90, 180, 12),
    ...arc(4, 4, 4, 180, 270, 12),
  ]);
  for (const [list, way] of [
    [points, 1],
    [[...points].reverse(), -1],
  ] as const) {
    const path = fitArcs(ring(list));
    const quarters = [...path.bulges].filter((b) => b !== 0);
    expect(path.bulges).toHaveLength(8);
    quarters.forEach((b) => expect(b).toBeCloseTo(way * Math.tan(Math.PI / 8), 9));
  }
});

test('what is no arc stays: rectangle, hexagon, star, a coarse circle whose sides stand off by more than the tolerance', () => {
  const star = Array.from({ length: 20 }, (_, i) => arc(0, 0, i % 2 ? 9 : 5, 18 * i, 18 * i + 1, 1)[0]);
  const coarse = arc(0, 0, 10, 0, 360, 24).slice(1);
  for (const points of [
    [
      [0, 0],
      [40, 0],
      [40, 20],
      [0, 20],
    ],
    arc(0, 0, 10, 0, 360, 6).slice(1),
    star,
    coarse,
  ]) {
    const path = fitArcs(ring(skewed(points)));
    expect([...path.bulges].every((b) => b === 0)).toBe(true);
    expect(path.bulges).toHaveLength(points.length);
  }
});

test('a free curve is followed within the tolerance, both ways, with fewer pieces than points', () => {
  const points = skewed(
    Array.from({ length: 720 }, (_, i) => {
      const t = (i * Math.PI) / 360,
        r = 20 + 3 * Math.cos(3 * t) + 0.8 * Math.sin(7 * t);
      return [r * Math.cos(t), r * Math.sin(t)];
    }),
  );
  const path = fitArcs(ring(points));
  const flat = polygon(flattenArcs(path, 1e-4));
  expect(farthest([flat], [polygon(ring(points))])).toBeLessThan(FIT_TOLERANCE_MM + 2e-3);
  expect(farthest([polygon(ring(points))], [flat])).toBeLessThan(FIT_TOLERANCE_MM + 2e-3);
  expect(path.bulges.length).toBeLessThan(60);
});

test('an open path is flattened without closing it', () => {
  const half: ArcPath = {
    points: Float64Array.of(1, 0, -1, 0),
    bulges: Float64Array.of(1, 0),
    closed: false,
  };
  const flat = polygon(flattenArcs(half, 1e-3));
  expect(flat[0]).toEqual([1, 0]);
  expect(flat.at(-1)).toEqual([-1, 0]);
  flat.forEach(([x, y]) => expect(Math.sqrt(x * x + y * y)).toBeCloseTo(1, 12));
  expect(Math.max(...flat.map(([, y]) => y))).toBeCloseTo(1, 2);
  expect(() => fitArcs(Float64Array.of(0, 0, 1, 1))).toThrow(RangeError);
});

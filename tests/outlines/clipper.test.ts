import { expect, test } from 'vitest';
import { loadClipper } from '../../src/outlines/clipper.js';
import { ringArea } from '../../src/outlines/ring-measures.js';

const clipper = await loadClipper();

// A border that folds back on itself along an axis, as walls seen edge on do. What it encloses is a triangle
// of height 1 over its folds from -4 to -6: half of base times height (Euclid I.41).
test.each(['EvenOdd', 'NonZero'] as const)('level edges folded on each other come to an end, %s', (rule) => {
  for (const turn of [0, 1, 2, 3]) {
    const folded = [
      [1, 1],
      [-4, 0],
      [2, 0],
      [6, 0],
      [-6, 0],
    ].flatMap(([x, y]) =>
      [
        [x, y],
        [-y, x],
        [-x, -y],
        [y, -x],
      ][turn].map((value) => value + 100),
    );
    const rings = clipper.resolve([Float64Array.from(folded)], rule);
    expect(rings.reduce((sum, ring) => sum + ringArea(ring), 0)).toBeCloseTo(1, 5);
  }
});

// Two squares of side 2 that overlap by a quarter: areas 7, 1 and 3.
test('unite, intersect, subtract, and squares that come back with their own corners', () => {
  const square = (x: number, y: number): Float64Array =>
    Float64Array.of(x, y, x + 2, y, x + 2, y + 2, x, y + 2);
  const area = (rings: readonly Float64Array[]): number =>
    rings.reduce((sum, ring) => sum + ringArea(ring), 0);
  const a = [square(5, 5)],
    b = [square(6, 6)];
  expect(area(clipper.unite(a, b))).toBeCloseTo(7, 5);
  expect(area(clipper.intersect(a, b))).toBeCloseTo(1, 5);
  expect(area(clipper.subtract(a, b))).toBeCloseTo(3, 5);
  const [same] = clipper.resolve(a, 'NonZero');
  expect([...same].sort()).toEqual([...a[0]].sort());
});

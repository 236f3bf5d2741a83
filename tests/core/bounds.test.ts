import { expect, test } from 'vitest';
import { boundsOf, leastOf, longestSide, mostOf, planBounds } from '../../src/core/bounds.js';
import { randomNumbers } from '../support/shapes.js';

const next = randomNumbers(3);
const points = Float64Array.from({ length: 3 * 200 }, () => 20 * next() - 15);

// Against the standard library's own least and greatest, coordinate by coordinate.
test('bounds of points, of some of them, of rings', () => {
  const column = (i: number, size: number, of: ArrayLike<number> = points): number[] =>
    Array.from(of).filter((_, at) => at % size === i);
  const expected = (size: number, of?: ArrayLike<number>) => ({
    min: Array.from({ length: size }, (_, i) => Math.min(...column(i, size, of))),
    max: Array.from({ length: size }, (_, i) => Math.max(...column(i, size, of))),
  });
  expect(boundsOf(points)).toEqual(expected(3));
  const some = [7, 3, 199, 3];
  const taken = some.flatMap((v) => [...points.subarray(3 * v, 3 * v + 3)]);
  expect(boundsOf(points, some)).toEqual(expected(3, taken));
  expect(planBounds([points.subarray(0, 300), points.subarray(300)])).toEqual(expected(2));
  expect({ least: leastOf(points), most: mostOf(points) }).toEqual({
    least: Math.min(...points),
    most: Math.max(...points),
  });
});

test('nothing has no bounds', () => {
  expect(boundsOf([])).toEqual({
    min: [Infinity, Infinity, Infinity],
    max: [-Infinity, -Infinity, -Infinity],
  });
  expect([leastOf([]), mostOf([]), longestSide(planBounds([]))]).toEqual([Infinity, -Infinity, -Infinity]);
});

test('the longest side is that of a block, whichever way it lies', () => {
  for (const side of [0, 1, 2]) {
    const max = [1, 2, 3];
    max[side] = 7;
    expect(longestSide({ min: [-1, -1, -1], max })).toBe(8);
  }
});

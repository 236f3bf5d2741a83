import { expect, test } from 'vitest';
import { firstEqualRows } from '../../src/core/distinct-rows.js';
import { randomNumbers } from '../support/shapes.js';

test.each([1, 2, 3, 6])('rows of %d: the first equal one, as a Map of their texts finds it', (width) => {
  const next = randomNumbers(width);
  const values = Math.ceil(2000 ** (1 / width));
  // Few values, so that most rows come again; shifted, so that low bits are 0 as in float32 coordinates.
  const rows = Int32Array.from({ length: 4000 * width }, () => (Math.floor(values * next()) - 2) << 12);
  const seen = new Map<string, number>();
  const expected = Array.from({ length: 4000 }, (_, r) => {
    const key = rows.subarray(width * r, width * r + width).join();
    if (!seen.has(key)) seen.set(key, r);
    return seen.get(key);
  });
  expect(seen.size).toBeLessThan(3500);
  expect([...firstEqualRows(rows, width)]).toEqual(expected);
});

test('no rows', () => {
  expect(firstEqualRows(new Int32Array(0), 3)).toHaveLength(0);
});

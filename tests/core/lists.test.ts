import { expect, test } from 'vitest';
import { listsByKey, listsByRange, type Lists } from '../../src/core/lists.js';
import { randomNumbers } from '../support/shapes.js';

const asArrays = ({ start, items }: Lists): number[][] =>
  Array.from({ length: start.length - 1 }, (_, l) => [...items.subarray(start[l], start[l + 1])]);

test('items by key: each list ascending, items of a negative key in none, lists may be empty', () => {
  expect(asArrays(listsByKey([2, 0, -1, 2, 0, 2], 4))).toEqual([[1, 4], [], [0, 3, 5], []]);
  expect(asArrays(listsByKey([], 2))).toEqual([[], []]);
});

test.each([1, 2, 3])('items by range, as a filter over all items finds them; seed %d', (seed) => {
  const next = randomNumbers(seed);
  const from = Int32Array.from({ length: 300 }, () => Math.floor(12 * next()) - 1);
  const to = from.map((first) => Math.min(9, first + Math.floor(5 * next()) - 1));
  const expected = Array.from({ length: 10 }, (_, list) =>
    Array.from(from, (_first, i) => i).filter((i) => from[i] >= 0 && from[i] <= list && list <= to[i]),
  );
  expect(asArrays(listsByRange(from, to, 10))).toEqual(expected);
});

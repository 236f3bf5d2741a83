import { expect, test } from 'vitest';
import { roundedForFile, roundedPlanMm } from '../../src/write/number.js';

test.each([
  [-0, 0],
  [-1e-320, -1e-320],
  [1 / 3, 0.333333333333],
  [123456789.12345679, 123456789.123],
  [1e300, 1e300],
  [-2.5, -2.5],
])('%d is written as %d', (value, expected) => {
  expect(roundedForFile(value)).toBe(expected);
});

test.each([
  [-0, 0],
  [-0.00004, 0],
  [0.00005, 0.0001],
  [12.34567, 12.3457],
  [-12.34567, -12.3457],
])('in plan %d mm is %d', (value, mm) => {
  expect(roundedPlanMm(value)).toBe(mm);
});

test.each([NaN, Infinity, -Infinity])('%d is refused', (value) => {
  expect(() => roundedForFile(value)).toThrow(RangeError);
  expect(() => roundedPlanMm(value)).toThrow(RangeError);
});

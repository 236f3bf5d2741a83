import { expect, test } from 'vitest';
import { roundedForFile, roundedPlanMm } from '../../src/write/number.js';
import { wrappable } from '../../src/write/report-numbers.js';

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

test.each([
  ['then ball-10, ball-4', 'then [ball-10,] [ball-4]'],
  ['raster 2832.4 mm², constant', 'raster [2832.4 mm²,] constant'],
  ['10\u202F246 mm³; 3 min, 11 % of it', '[10\u202F246 mm³;] [3 min,] [11 %] of it'],
  ['at -6.4, 2 (8.8 × DC)', 'at [-6.4,] 2 [(8.8 × DC)]'],
  ['3 minutes of 2 mmm <b>', '3 minutes of 2 mmm &lt;b&gt;'],
])('lines of "%s" end at spaces outside of names and figures', (words, whole) => {
  const html = wrappable(words);
  expect(html.replaceAll('<span class="whole">', '[').replaceAll('</span>', ']')).toBe(whole);
});

import { expect, test } from 'vitest';
import { editDistance, nearestWord } from '../../src/core/nearest.js';

// Textbook pairs (from memory): kitten/sitting of Levenshtein's distance; ca/abc, which is 3 where no letter
// moves twice.
test.each([
  ['kitten', 'sitting', 3],
  ['ca', 'abc', 3],
  ['', 'abc', 3],
  ['abc', '', 3],
  ['same', 'same', 0],
  ['Same', 'sAME', 0],
  ['splti', 'split', 1],
  ['abdc', 'abcd', 1],
  ['flaw', 'lawn', 2],
])('distance of "%s" and "%s" is %d, both ways', (a, b, distance) => {
  expect(editDistance(a, b)).toBe(distance);
  expect(editDistance(b, a)).toBe(distance);
});

test.each([
  ['toleranceMM', 'toleranceMm'],
  ['tolerance', 'toleranceMm'],
  ['stpeover', 'stepover'],
  ['xyz', null],
  ['st', null],
])('"%s" means %j', (word, expected) => {
  expect(nearestWord(word, ['stepover', 'stepdown', 'toleranceMm', 'unit'])).toBe(expected);
});

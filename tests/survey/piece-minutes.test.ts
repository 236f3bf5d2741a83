import { expect, test } from 'vitest';
import { pieceMinutes } from '../../src/survey/pass-grounds.js';

// Facets 0 and 1 are one piece, 2 and 3 another, 4 and 5 a third; 0, 2 and 4 lie in one region, 1 and 3 in another, 5 in
// none. In the second piece a ball's centre stands still, so it has no cutting to go by: moves alone take its minutes.
test('the minutes of a piece all go to the regions it lies in, also where it has no cutting', () => {
  const cutting = Float64Array.of(1, 3, 0, 0, 2, 2),
    areas = Float64Array.of(5, 5, 1, 4, 7, 7),
    minutes = [8, 10, 6];
  const out = new Float64Array(2);
  const where = { regionOf: Int32Array.of(0, 0, 1, 1, 2, 2), count: 3 };
  pieceMinutes(cutting, areas, where, (piece) => minutes[piece], Int32Array.of(0, 1, 0, 1, 0, -1), out);
  expect([...out]).toEqual([8 / 4 + 10 / 5 + 6 / 2, (3 * 8) / 4 + (4 * 10) / 5]);
});

test('a piece without area takes no minutes to anywhere', () => {
  const out = new Float64Array(1);
  const none = new Float64Array(2);
  pieceMinutes(none, none, { regionOf: Int32Array.of(0, 0), count: 1 }, () => 5, Int32Array.of(0, 0), out);
  expect(out[0]).toBe(0);
});

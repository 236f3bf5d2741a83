import { expect, test } from 'vitest';
import { furthest } from '../../src/core/furthest.js';

test('the last step that fits, however far it is; few tries', () => {
  for (const known of [1, 3]) {
    for (let last = 5 + known; last <= 400; last++) {
      let tries = 0;
      const found = furthest(5, known, 400, (step) => {
        tries++;
        expect(step).toBeGreaterThan(5 + known);
        expect(step).toBeLessThanOrEqual(400);
        return step <= last;
      });
      expect(found).toBe(last);
      expect(tries).toBeLessThanOrEqual(2 * Math.ceil(Math.log2(400)));
    }
  }
});

test('no room beyond what is known', () => {
  expect(furthest(5, 1, 6, () => true)).toBe(6);
  expect(furthest(5, 1, 5, () => true)).toBe(6);
});

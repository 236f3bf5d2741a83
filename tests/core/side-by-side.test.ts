import { expect, test } from 'vitest';
import { sideBySide } from '../../src/core/side-by-side.js';

test.each([
  [7, 3],
  [2, 3],
  [0, 2],
  [5, 1],
])(
  '%d items, %d at a time: answers in their order, never more begun than ended by so many',
  async (n, most) => {
    let begun = 0,
      ended = 0,
      widest = 0;
    const items = Array.from({ length: n }, (_, i) => 10 * i);
    const found = await sideBySide(items, most, async (item, i) => {
      begun++;
      widest = Math.max(widest, begun - ended);
      // Later ones end sooner.
      for (let wait = n - i; wait > 0; wait--) await Promise.resolve();
      ended++;
      return [item, i];
    });
    expect(found).toEqual(items.map((item, i) => [item, i]));
    expect(widest).toBe(Math.min(n, most));
  },
);

test('what fails first fails it all', async () => {
  const work = async (item: number): Promise<number> => {
    await Promise.resolve();
    if (item === 2) throw new RangeError('two');
    return item;
  };
  await expect(sideBySide([1, 2, 3], 2, work)).rejects.toThrow('two');
});

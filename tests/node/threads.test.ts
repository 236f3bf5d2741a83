import { expect, test } from 'vitest';
import { packView } from '../../src/write/pack-view.js';
import { dome } from '../support/dome.js';

/** As built: a thread cannot start from the source. */
const threads = async (): Promise<typeof import('../../src/node/threads.js')> => (
  await import(new URL('../../dist/node/threads.js', import.meta.url).href) as typeof import('../../src/node/threads.js'));

test('a view packed in a thread is the same, and its arrays have gone there', async () => {
  const view = dome(40), expected = packView(view);
  const { packView: packElsewhere } = (await threads()).threads();
  expect(await packElsewhere(view)).toEqual(expected);
  expect(Object.values(view).map((values: ArrayBufferView) => values.byteLength)).toEqual(Array(8).fill(0));
});

test('a failure in the thread comes back', async () => {
  const { packView: packElsewhere } = (await threads()).threads();
  await expect(packElsewhere({ ...dome(2), regions: new BigInt64Array(9) as never })).rejects.toThrow(TypeError);
});

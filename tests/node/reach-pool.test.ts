import { Worker } from 'node:worker_threads';
import { expect, test, vi } from 'vitest';
import { memoryError } from '../../src/node/memory-error.js';
import { reachPool } from '../../src/node/reach-pool.js';
import { readyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

/** A thread that stops as soon as it is asked for something, as one does that the system kills. */
vi.mock('node:worker_threads', async (original) => {
  const threads = await original<typeof import('node:worker_threads')>();
  class Stopping extends threads.Worker {
    constructor() {
      super("require('node:worker_threads').parentPort.on('message', () => process.exit(1))", { eval: true });
    }
  }
  return { ...threads, Worker: Stopping };
});

test('a thread that stops is not waited for', async () => {
  expect(Worker.name).toBe('Stopping');
  const { tree } = readyPart(shapes.box(9, 9, 9));
  const engine = reachPool(1)({ tree, limits: { toleranceMm: 0.02, slackMm: 0.002 } });
  const items = Float64Array.of(4, 4, 9, 0, 0, 1);
  await expect(engine.run({ kind: 'reach', items, radii: Float64Array.of(1) })).rejects.toThrow(
    'has stopped',
  );
  engine.close();
});

// What Node 20 and its V8 say.
test.each([
  [Object.assign(new Error('out'), { code: 'ERR_WORKER_OUT_OF_MEMORY' }), 'memory.exhausted'],
  [new RangeError('Array buffer allocation failed'), 'memory.exhausted'],
  [new RangeError('Invalid array'), undefined],
])('%s: %s', (thrown, code) => {
  expect(memoryError(thrown, 'a.stl')?.info.code).toBe(code);
});

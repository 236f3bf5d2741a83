import { beforeAll, expect, test } from 'vitest';
import { ballProfile } from '../../src/cutter/cutter-profile.js';
import {
  pooledEngine,
  workerBody,
  type FromWorker,
  type ToWorker,
  type WorkerPort,
} from '../../src/reach/pooled-engine.js';
import { inlineEngine, withoutHaste, type EngineData, type ReachTask } from '../../src/reach/reach-engine.js';
import { randomNumbers, roundPocket } from '../support/shapes.js';
import { readyPart } from '../support/pipeline.js';

/** A port whose thread is this one, answering later and out of step. */
function fakePort(delay: () => number): WorkerPort {
  let listener: ((message: FromWorker) => void) | undefined;
  const body = workerBody((message) => {
    setTimeout(() => listener?.(message), delay());
  });
  return {
    post: (message) => body(structuredClone(message)),
    listen: (onMessage) => {
      listener = onMessage;
    },
    close: () => {
      listener = undefined;
    },
  };
}

const part = readyPart(roundPocket({ segments: 48, filletFacets: 6 }));
const data: EngineData = { ...part, limits: { toleranceMm: 0.02, slackMm: 2e-4 } };

/** 6500 points on a square above the pocket's floor: more pieces than there are threads. */
function pointsTask(): ReachTask {
  const random = randomNumbers(99);
  const items = new Float64Array(6 * 6500);
  for (let i = 0; i < items.length; i += 6)
    items.set([34 * random() - 17, 34 * random() - 17, 0, 0, 0, 1], i);
  return { kind: 'reach', items, radii: Float64Array.of(1, 2, 4, 6) };
}

let inline: Float64Array;
beforeAll(async () => {
  inline = await inlineEngine(data).run(pointsTask());
});

test.each([1, 2, 5])('%d threads that answer out of step give what one thread gives', async (threads) => {
  const random = randomNumbers(threads);
  const pool = pooledEngine(() => Array.from({ length: threads }, () => fakePort(() => 3 * random())))(data);
  const pooled = await pool.run(pointsTask());
  expect(new Set(inline).size).toBeGreaterThan(2);
  expect(pooled).toEqual(inline);
  // A place on the floor beside its fillet of 3, and one in the middle: seven numbers in, one out.
  const items = Float64Array.of(16.9, 0, 0, 0, 0, 1, NaN, 0, 0, 0, 0, 0, 1, NaN);
  const rest = { kind: 'thicknesses', items, profile: ballProfile(6), topMm: 20 } as const;
  const thicknesses = await pool.run(rest);
  expect(thicknesses).toHaveLength(2);
  expect(thicknesses[0]).toBeGreaterThan(thicknesses[1]);
  pool.close();
});

test('what may wait is answered after what is asked later, with the same answers', async () => {
  const pool = pooledEngine(() => [fakePort(() => 1)])(data);
  const order: string[] = [];
  const [late, soon] = await Promise.all([
    withoutHaste(pool)
      .run(pointsTask())
      .finally(() => order.push('late')),
    pool.run(pointsTask()).finally(() => order.push('soon')),
  ]);
  expect(order).toEqual(['soon', 'late']);
  expect(late).toEqual(inline);
  expect(soon).toEqual(inline);
  pool.close();
});

test('threads have pieces before them while nothing is heard of them, all as many', () => {
  const pieces = [0, 0, 0];
  const ports = pieces.map((_, i) => ({
    post: ({ kind }: ToWorker) => {
      if (kind === 'piece') pieces[i]++;
    },
    listen: () => undefined,
    close: () => undefined,
  }));
  void pooledEngine(() => ports)(data).run(pointsTask());
  // Seven pieces of 1024 points at most.
  expect(pieces).toEqual([3, 2, 2]);
});

test('an abort ends a run that waits, and a failing thread fails it', async () => {
  const pool = pooledEngine(() => [fakePort(() => 20)])(data);
  const stop = new AbortController();
  const run = pool.run(pointsTask(), stop.signal);
  setTimeout(() => stop.abort(new Error('enough')), 5);
  await expect(run).rejects.toThrow('enough');
  const broken = pooledEngine(() => [
    {
      post: () => undefined,
      close: () => undefined,
      listen: (_: unknown, onError: (error: Error) => void) => {
        setTimeout(() => onError(new Error('out of memory')), 1);
      },
    },
  ])(data);
  await expect(broken.run(pointsTask())).rejects.toThrow('out of memory');
});

import { expect, test } from 'vitest';
import { pooledEngine, workerBody, type FromWorker, type WorkerPort } from '../../src/reach/pooled-engine.js';
import { inlineEngine, type EngineData, type ReachTask } from '../../src/reach/reach-engine.js';
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

/** 9000 points on a square above the pocket's floor: more than a few pieces. */
function pointsTask(): ReachTask {
  const random = randomNumbers(99);
  const items = new Float64Array(6 * 9000);
  for (let i = 0; i < items.length; i += 6)
    items.set([34 * random() - 17, 34 * random() - 17, 0, 0, 0, 1], i);
  return { kind: 'reach', items, radii: Float64Array.of(1, 2, 4, 6) };
}

test.each([1, 2, 5])('%d threads that answer out of step give what one thread gives', async (threads) => {
  const random = randomNumbers(threads);
  const pool = pooledEngine(() => Array.from({ length: threads }, () => fakePort(() => 3 * random())))(data);
  const inline = await inlineEngine(data).run(pointsTask());
  const pooled = await pool.run(pointsTask());
  expect(new Set(inline).size).toBeGreaterThan(2);
  expect(pooled).toEqual(inline);
  const rest = { kind: 'rest', items: Float64Array.of(4, 6), stockMm: 0 } as const;
  const volumes = await pool.run(rest);
  expect(volumes).toHaveLength(4);
  expect(volumes[2]).toBeGreaterThan(volumes[0]);
  pool.close();
});

test('what is prepared is begun by idle threads, gives way to what is asked, and is dropped or answered', async () => {
  const posted: string[] = [];
  const port = (): WorkerPort => {
    const inner = fakePort(() => 1);
    return {
      ...inner,
      post: (message, transfer) => {
        if (message.kind === 'piece')
          posted.push(message.piece.kind === 'rest' ? `rest ${message.piece.items[0]}` : message.piece.kind);
        inner.post(message, transfer);
      },
    };
  };
  const pool = pooledEngine(() => [port()])(data);
  const [begun, waiting, dropped] = [6, 4, 5].map((radius) =>
    pool.prepare({ kind: 'rest', items: Float64Array.of(radius), stockMm: 0 }),
  );
  expect(posted).toEqual(['rest 6']);
  dropped.drop();
  const reach = await pool.run(pointsTask());
  expect(posted.slice(1, 6)).toEqual(['reach', 'reach', 'reach', 'reach', 'reach']);
  expect(reach).toHaveLength(9000);
  const inline = inlineEngine(data);
  const rest = await inline.run({ kind: 'rest', items: Float64Array.of(4, 6), stockMm: 0 });
  expect([...(await waiting.answer()), ...(await begun.answer())]).toEqual([...rest]);
  expect(posted.filter((kind) => kind === 'rest 5')).toEqual([]);
  const later = inline.prepare({ kind: 'rest', items: Float64Array.of(6), stockMm: 0 });
  expect([...(await later.answer())]).toEqual([...rest.slice(2)]);
  pool.close();
  // Of two threads one stays free for what is asked.
  posted.length = 0;
  const pair = pooledEngine(() => [port(), port()])(data);
  for (const radius of [6, 5]) pair.prepare({ kind: 'rest', items: Float64Array.of(radius), stockMm: 0 });
  expect(posted).toEqual(['rest 6']);
  pair.close();
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

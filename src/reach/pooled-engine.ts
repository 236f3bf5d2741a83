import {
  answerTask,
  itemStride,
  taskPieces,
  type EngineData,
  type EngineMaker,
  type ReachEngine,
  type ReachTask,
} from './reach-engine.js';

/** What a thread is told. */
export type ToWorker =
  | { readonly kind: 'data'; readonly data: EngineData }
  | { readonly kind: 'piece'; readonly id: number; readonly piece: ReachTask };

/** What it tells. */
export type FromWorker =
  | { readonly kind: 'answer'; readonly id: number; readonly answer: Float64Array }
  | { readonly kind: 'failure'; readonly id: number; readonly message: string };

/** The whole of what a pool needs to know of a thread, in Node or in a browser. */
export interface WorkerPort {
  post(message: ToWorker, transfer: ArrayBuffer[]): void;
  /** Called once, before anything is posted. */
  listen(onMessage: (message: FromWorker) => void, onError: (error: Error) => void): void;
  close(): void;
}

interface Waiting {
  readonly piece: ReachTask;
  readonly done: (answer: Float64Array) => void;
  readonly failed: (error: Error) => void;
}

/** Pieces that a thread has before it at most: it goes on by itself while this one is at work and hears nothing. */
const AHEAD = 4;

/**
 * An engine that shares pieces of work among threads, those that may wait last.
 *
 * @param makePorts starts the threads; the tree and the part go to each once, and are not copied where they
 *   lie in shared memory
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share the ports and what waits for them.
export function pooledEngine(makePorts: () => readonly WorkerPort[]): EngineMaker {
  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share the ports and what waits for them.
  return (data) => {
    const queue: Waiting[] = [],
      unhurried: Waiting[] = [];
    const withdraw = (): Waiting[] => [...queue.splice(0), ...unhurried.splice(0)];
    const busy = new Map<number, Waiting>();
    const threads = makePorts().map((port) => ({ port, pieces: 0 }));
    let nextId = 0;
    let broken: Error | undefined;
    const fail = (error: Error): void => {
      broken ??= error;
      for (const waiting of [...busy.values(), ...withdraw()]) waiting.failed(error);
      busy.clear();
    };
    const feed = (): void => {
      for (;;) {
        const thread = threads.reduce((least, one) => (one.pieces < least.pieces ? one : least));
        const waiting = thread.pieces < AHEAD ? (queue.shift() ?? unhurried.shift()) : undefined;
        if (!waiting) return;
        const id = nextId++;
        busy.set(id, waiting);
        thread.pieces++;
        thread.port.post({ kind: 'piece', id, piece: waiting.piece }, [
          waiting.piece.items.buffer as ArrayBuffer,
        ]);
      }
    };
    for (const thread of threads) {
      const { port } = thread;
      port.listen((message) => {
        const waiting = busy.get(message.id);
        busy.delete(message.id);
        thread.pieces--;
        if (message.kind === 'answer') waiting?.done(message.answer);
        else waiting?.failed(new Error(message.message));
        feed();
      }, fail);
      port.post({ kind: 'data', data }, []);
    }
    const ask = (piece: ReachTask): Promise<Float64Array> =>
      new Promise((done, failed) => {
        if (broken) failed(broken);
        else (piece.mayWait ? unhurried : queue).push({ piece, done, failed });
      });
    const finish = (
      task: ReachTask,
      answers: readonly Promise<Float64Array>[],
      signal?: AbortSignal,
      onDone?: (fraction: number) => void,
    ): Promise<Float64Array> => {
      feed();
      return gather(
        task,
        answers,
        (reason) => {
          for (const waiting of withdraw()) waiting.failed(reason);
        },
        signal,
        onDone,
      );
    };
    const run: ReachEngine['run'] = async (task, signal, onDone) => {
      signal?.throwIfAborted();
      return finish(
        task,
        [...taskPieces(task)].map(({ piece }) => ask(piece)),
        signal,
        onDone,
      );
    };
    return { run, close: () => threads.forEach(({ port }) => port.close()) };
  };
}

/** Puts the answers to a task's pieces together. @param withdraw takes back what has not begun */
async function gather(
  task: ReachTask,
  answers: readonly Promise<Float64Array>[],
  withdraw: (reason: Error) => void,
  signal?: AbortSignal,
  onDone?: (fraction: number) => void,
): Promise<Float64Array> {
  const out = new Float64Array(task.items.length / itemStride(task));
  let filled = 0;
  const from = [...taskPieces(task)].map((piece) => piece.from);
  const parts = answers.map(async (promise, i) => {
    const answer = await promise;
    out.set(answer, from[i]);
    filled += answer.length;
    onDone?.(filled / out.length);
  });
  const stop = (): void => withdraw(signal?.reason instanceof Error ? signal.reason : new Error('stopped'));
  signal?.addEventListener('abort', stop, { once: true });
  try {
    await Promise.all(parts);
    signal?.throwIfAborted();
  } finally {
    signal?.removeEventListener('abort', stop);
  }
  return out;
}

/** What a thread does with a message; `answer` sends one back. Made once per thread. */
export function workerBody(
  answer: (message: FromWorker, transfer: ArrayBuffer[]) => void,
): (message: ToWorker) => void {
  let data: EngineData | undefined;
  return (message) => {
    if (message.kind === 'data') {
      data = message.data;
      return;
    }
    const { id } = message;
    try {
      if (!data) throw new Error('asked before the part was given');
      const result = answerTask(data, message.piece);
      answer({ kind: 'answer', id, answer: result }, [result.buffer as ArrayBuffer]);
    } catch (error) {
      answer({ kind: 'failure', id, message: error instanceof Error ? error.message : String(error) }, []);
    }
  };
}

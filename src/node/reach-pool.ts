import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { pooledEngine, type FromWorker, type WorkerPort } from '../reach/pooled-engine.js';
import type { EngineMaker } from '../reach/reach-engine.js';

/** More threads than this gain little: pieces come from one thread. */
const MOST_THREADS = 16;

/** Reach answered by worker threads, as many as there are processors unless told otherwise. */
export function reachPool(threads = Math.min(MOST_THREADS, availableParallelism())): EngineMaker {
  return pooledEngine(() => Array.from({ length: threads }, startPort));
}

function startPort(): WorkerPort {
  const worker = new Worker(new URL('./reach-worker.js', import.meta.url));
  return {
    post: (message, transfer) => worker.postMessage(message, transfer),
    listen: (onMessage, onError) => {
      worker.on('message', (message: FromWorker) => onMessage(message));
      worker.on('error', onError);
      worker.on('exit', () => onError(new Error('a thread that answers for reach has stopped')));
    },
    close: () => void worker.terminate(),
  };
}

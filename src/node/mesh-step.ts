import { Worker } from 'node:worker_threads';
import type { StepMesher } from '../core/context.js';
import { PartError } from '../core/errors.js';
import type { StepAnswer, StepJob } from './step-worker.js';

/**
 * Facets of a STEP file, made by the optional package occt-import-js. On a thread of its own, which ends with the
 * file: the package keeps what it took of the memory.
 *
 * @throws {PartError} `read.step-reader-missing` where the package is not installed, `read.damaged`,
 *   `memory.exhausted`
 */
export const meshStep: StepMesher = async (bytes, name, limits) => {
  const job: StepJob = { bytes, name, limits };
  const worker = new Worker(new URL('./step-worker.js', import.meta.url), { workerData: job });
  try {
    const answer = await new Promise<StepAnswer>((resolve, reject) => {
      worker.on('message', resolve);
      worker.on('error', reject);
      worker.on('exit', () => reject(new Error('the reader of STEP stopped without a result')));
    });
    if ('info' in answer) throw new PartError(answer.info);
    return answer.corners;
  } finally {
    void worker.terminate();
  }
};

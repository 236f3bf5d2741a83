import { Worker } from 'node:worker_threads';
import { PartError, type PartErrorInfo } from '../core/errors.js';
import { memoryError } from './memory-error.js';
import type { LongFile } from './read-file.js';
import type { Setup } from '../resolve-setup.js';
import type { Check, CheckWishes } from '../survey/check-part.js';
import type { EarlyAnswers, Survey, SurveyContext } from '../survey/survey.js';

/** What the engine itself finds for the work is not handed over: a thread cannot be given functions. */
export interface EngineContext extends Pick<SurveyContext, 'progress' | 'signal' | 'onAnswers'> {
  /** folder of the part, where files that it names are looked for */
  readonly folder: string;
}

type Work<Result, Wishes extends unknown[] = []> = (
  part: Uint8Array | LongFile,
  name: string,
  setup: Setup,
  context: EngineContext,
  ...wishes: Wishes
) => Promise<Result>;
/** The work on one part, as the command line asks for it. */
export interface Engine {
  readonly survey: Work<Survey>;
  readonly check: Work<Check, [CheckWishes]>;
}

/** What the worker is started with. */
export interface Job {
  readonly task: 'survey' | 'check';
  readonly part: Uint8Array | LongFile;
  readonly name: string;
  readonly setup: Setup;
  readonly folder: string;
  readonly wishes?: CheckWishes;
}

/** What the worker tells. */
export type Message =
  | { readonly kind: 'progress'; readonly stage: string; readonly fraction: number }
  | { readonly kind: 'answers'; readonly answers: EarlyAnswers }
  | { readonly kind: 'done'; readonly result: Survey | Check }
  | { readonly kind: 'part-error'; readonly info: PartErrorInfo }
  | { readonly kind: 'failure'; readonly message: string; readonly stack: string };

/**
 * Does the work on a thread of its own, so that the main one can draw progress and hear an interrupt while
 * a long computation runs. The bytes move to the worker and are gone here.
 */
export const workerEngine: Engine = {
  survey: (part, name, setup, { folder, ...context }) =>
    runJob<Survey>({ task: 'survey', part, name, setup, folder }, context),
  check: (part, name, setup, { folder, ...context }, wishes) =>
    runJob<Check>({ task: 'check', part, name, setup, folder, wishes }, context),
};

/** @returns what the worker gives for the task of the job */
function runJob<Result>(job: Job, { progress, signal, onAnswers }: SurveyContext): Promise<Result> {
  return new Promise((resolve, reject) => {
    if (signal?.aborted) {
      reject(signal.reason);
      return;
    }
    const buffer = job.part instanceof Uint8Array && job.part.buffer;
    const transferList = buffer instanceof ArrayBuffer ? [buffer] : [];
    const worker = new Worker(new URL('./engine-worker.js', import.meta.url), {
      workerData: job,
      transferList,
    });
    const stop = (): void => {
      void worker.terminate();
      reject(signal?.reason);
    };
    signal?.addEventListener('abort', stop, { once: true });
    const settle = (act: () => void): void => {
      signal?.removeEventListener('abort', stop);
      void worker.terminate();
      act();
    };
    worker.on('message', (message: Message) => {
      if (message.kind === 'progress') progress?.(message.stage, message.fraction);
      else if (message.kind === 'answers') onAnswers?.(message.answers);
      else if (message.kind === 'part-error') settle(() => reject(new PartError(message.info)));
      else if (message.kind === 'failure')
        settle(() => reject(Object.assign(new Error(message.message), { stack: message.stack })));
      else settle(() => resolve(message.result as Result));
    });
    worker.on('error', (error) => settle(() => reject(memoryError(error, job.name) ?? error)));
    worker.on('exit', () => settle(() => reject(new Error('the worker stopped without a result'))));
  });
}

import { PartError } from '../../core/errors.js';
import type { EarlyAnswers } from '../../survey/survey.js';
import { TEXT } from '../../write/report-text.js';
import type { Answer, EarlyPicture, Job } from './messages.js';

export interface Run {
  readonly files: Promise<ReadonlyMap<string, Uint8Array | string>>;
  /** Ends the computation at once; `files` then rejects with the reason "stopped". */
  readonly stop: () => void;
}

/** Told what a survey knows before it is done. */
export interface Listener {
  readonly onProgress: (stage: string, fraction: number) => void;
  readonly onPicture: (picture: EarlyPicture) => void;
  readonly onAnswers: (answers: EarlyAnswers) => void;
}

export const STOPPED = 'stopped';

/** The worker that surveyed a part last: what it knows of the part serves when it is surveyed again. */
let last: { readonly part: object; readonly worker: Worker } | null = null;

/**
 * Surveys a part in a worker of its own, so that the page goes on answering and nothing can take it down.
 *
 * @param part the same object each time that the same part is surveyed
 */
export function runSurvey(part: object, job: Job, { onProgress, onPicture, onAnswers }: Listener): Run {
  if (last?.part !== part) forgetLast();
  last ??= {
    part,
    worker: new Worker(new URL('./survey-worker.js', import.meta.url), { type: 'module' }),
  };
  const { worker } = last,
    heard = new AbortController();
  let stop = (): void => {};
  const files = new Promise<ReadonlyMap<string, Uint8Array | string>>((resolve, reject) => {
    const fail = (error: Error): void => {
      if (last?.worker === worker) forgetLast();
      reject(error);
    };
    stop = () => fail(new Error(STOPPED));
    const { signal } = heard;
    worker.addEventListener(
      'message',
      ({ data }: MessageEvent<Answer>) => {
        if (data.kind === 'progress') onProgress(data.stage, data.fraction);
        else if (data.kind === 'surface') onPicture(data.picture);
        else if (data.kind === 'answers') onAnswers(data.answers);
        else if (data.kind === 'done') resolve(data.files);
        else if (data.kind === 'part-error') fail(new PartError(data.info));
        else fail(new Error(TEXT.page.unexpected(data.message)));
      },
      { signal },
    );
    worker.addEventListener('messageerror', () => fail(new Error(TEXT.page.crashed)), { signal });
    worker.addEventListener(
      'error',
      (event) => {
        event.preventDefault();
        fail(new Error(TEXT.page.crashed));
      },
      { signal },
    );
    worker.postMessage(job, [job.bytes.buffer]);
  }).finally(() => heard.abort());
  return { files, stop: () => stop() };
}

function forgetLast(): void {
  last?.worker.terminate();
  last = null;
}

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

/** Surveys a part in a worker of its own, so that the page goes on answering and nothing can take it down. */
export function runSurvey(job: Job, { onProgress, onPicture, onAnswers }: Listener): Run {
  const worker = new Worker(new URL('./survey-worker.js', import.meta.url), { type: 'module' });
  let stop = (): void => {};
  const files = new Promise<ReadonlyMap<string, Uint8Array | string>>((resolve, reject) => {
    stop = () => reject(new Error(STOPPED));
    worker.addEventListener('message', ({ data }: MessageEvent<Answer>) => {
      if (data.kind === 'progress') onProgress(data.stage, data.fraction);
      else if (data.kind === 'surface') onPicture(data.picture);
      else if (data.kind === 'answers') onAnswers(data.answers);
      else if (data.kind === 'done') resolve(data.files);
      else if (data.kind === 'part-error') reject(new PartError(data.info));
      else reject(new Error(TEXT.page.unexpected(data.message)));
    });
    worker.addEventListener('messageerror', () => reject(new Error(TEXT.page.crashed)));
    worker.addEventListener('error', (event) => {
      event.preventDefault();
      reject(new Error(TEXT.page.crashed));
    });
    worker.postMessage(job, [job.bytes.buffer]);
  }).finally(() => worker.terminate());
  return { files, stop: () => stop() };
}

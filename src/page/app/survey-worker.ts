import { buffersOf } from '../../core/buffers-of.js';
import { lastAnswers } from '../../core/last-answers.js';
import { messageOf, PartError } from '../../core/errors.js';
import { pooledEngine, type FromWorker, type WorkerPort } from '../../reach/pooled-engine.js';
import { inlineEngine, type EngineMaker } from '../../reach/reach-engine.js';
import { blockFromMesh } from '../../survey/survey-block.js';
import { surveyPart, type SurveyContext } from '../../survey/survey.js';
import { earlyPicture } from './early-picture.js';
import type { Answer, Job } from './messages.js';

/** The least time between two progress messages, ms. */
const PROGRESS_MS = 50;
/** More threads than this gain little: pieces come from one thread. */
const MOST_THREADS = 16;

const last = lastAnswers();

const tell = (answer: Answer, transfer: Transferable[] = []): void => postMessage(answer, { transfer });

addEventListener('message', ({ data }: MessageEvent<Job>) => {
  survey(data).catch((error: unknown) => {
    if (error instanceof PartError) tell({ kind: 'part-error', info: error.info });
    else tell({ kind: 'failure', message: messageOf(error) });
  });
});

async function survey({ bytes, name, setup, blockMesh }: Job): Promise<void> {
  let lastMs = -Infinity,
    lastStage = '';
  const context: SurveyContext = {
    last,
    progress: (stage, fraction) => {
      const now = performance.now();
      if (now - lastMs < PROGRESS_MS && stage === lastStage) return;
      [lastMs, lastStage] = [now, stage];
      tell({ kind: 'progress', stage, fraction });
    },
    onSurface: (surface) => {
      const picture = earlyPicture(surface);
      tell({ kind: 'surface', picture }, buffersOf(Object.values(picture)));
    },
    onAnswers: (answers) => tell({ kind: 'answers', answers }),
  };
  const block =
    blockMesh === null ? setup.block : await blockFromMesh(blockMesh.bytes, blockMesh.name, setup.unit);
  const { files } = await surveyPart(bytes, name, { ...setup, block }, context, engineMaker());
  tell({ kind: 'done', files }, buffersOf(files.values()));
}

/** Further workers where they can share memory with this one, and this thread alone where they cannot. */
function engineMaker(): EngineMaker {
  const threads = Math.min(MOST_THREADS, navigator.hardwareConcurrency || 1);
  if (typeof SharedArrayBuffer === 'undefined' || threads < 2) return inlineEngine;
  return pooledEngine(() => Array.from({ length: threads }, startPort));
}

function startPort(): WorkerPort {
  const worker = new Worker(new URL('./reach-worker.js', import.meta.url), { type: 'module' });
  return {
    post: (message, transfer) => worker.postMessage(message, transfer),
    listen: (onMessage, onError) => {
      worker.addEventListener('message', ({ data }: MessageEvent<FromWorker>) => onMessage(data));
      worker.addEventListener('error', (event) => onError(new Error(event.message || 'a worker stopped')));
    },
    close: () => worker.terminate(),
  };
}

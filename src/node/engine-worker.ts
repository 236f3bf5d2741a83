import { totalmem } from 'node:os';
import process from 'node:process';
import { parentPort, workerData } from 'node:worker_threads';
import { buffersOf } from '../core/buffers-of.js';
import { PartError } from '../core/errors.js';
import { checkPart } from '../survey/check-part.js';
import { surveyPart, type SurveyContext } from '../survey/survey.js';
import { meshStep } from './mesh-step.js';
import { memoryError } from './memory-error.js';
import { fileChunks } from './read-file.js';
import { reachPool } from './reach-pool.js';
import { besideReader } from './read-beside.js';
import type { Job, Message } from './worker-engine.js';

/** The least time between two progress messages, ms: more would only be thrown away. */
const PROGRESS_MS = 50;

/** Of the machine, or what a container leaves of it. */
function memoryBytes(): number {
  const constrained = process.constrainedMemory();
  return constrained > 0 ? Math.min(constrained, totalmem()) : totalmem();
}

function send(message: Message, transfer: ArrayBuffer[] = []): void {
  parentPort?.postMessage(message, transfer);
}

async function run({ task, part, name, setup, folder, wishes }: Job): Promise<void> {
  const bytes = part instanceof Uint8Array ? part : fileChunks(part);
  let lastMs = -Infinity;
  const context: SurveyContext = {
    memoryBytes: memoryBytes(),
    progress(stage, fraction): void {
      const now = performance.now();
      if (now - lastMs < PROGRESS_MS) return;
      lastMs = now;
      send({ kind: 'progress', stage, fraction });
    },
    onAnswers: (answers) => send({ kind: 'answers', answers }),
    readBeside: besideReader(folder),
    meshStep,
  };
  if (task === 'check') {
    send({ kind: 'done', result: await checkPart(bytes, name, setup, context, wishes) });
    return;
  }
  const result = await surveyPart(bytes, name, setup, context, reachPool());
  send({ kind: 'done', result }, buffersOf(result.files.values()));
}

const job = workerData as Job;
run(job).catch((thrown: unknown) => {
  const error =
    memoryError(thrown, job.name) ?? (thrown instanceof Error ? thrown : new Error(String(thrown)));
  if (error instanceof PartError) send({ kind: 'part-error', info: error.info });
  else send({ kind: 'failure', message: error.message, stack: error.stack ?? '' });
});

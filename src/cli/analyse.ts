import { basename, dirname } from 'node:path';
import { readPartFile, type LongFile } from '../node/read-file.js';
import { progressLine } from '../node/terminal-progress.js';
import type { Engine, EngineContext } from '../node/worker-engine.js';
import type { EarlyAnswers } from '../survey/survey.js';
import type { CommonFlags } from './common-options.js';
import { wantsProgress, type Io } from './io.js';

/** Stands for stdin where a part is named. */
const STDIN = '-';

/** What is still being worked out once these answers are told. */
const TO_COME: Readonly<Record<EarlyAnswers['kind'], string>> = {
  surface: 'to come: cutters, minutes, files; ',
  work: 'to come: findings, files; ',
};

/** What a part is called on every sheet. */
export const partName = (path: string): string => (path === STDIN ? 'stdin' : basename(path));

/**
 * Reads a part and does `work` on it, with progress where somebody watches.
 *
 * @param onAnswers what to do with answers before the last; left out: they are not told
 */
export async function analyse<T>(
  path: string,
  flags: CommonFlags,
  io: Io,
  work: (engine: Engine, part: Uint8Array | LongFile, name: string, context: EngineContext) => Promise<T>,
  onAnswers?: EngineContext['onAnswers'],
): Promise<T> {
  const read = path === STDIN ? io.readIn() : readPartFile(path, io.signal);
  const [part, engine] = await Promise.all([read, io.loadEngine()]);
  const name = partName(path),
    given = { signal: io.signal, folder: dirname(path) };
  const line = wantsProgress(io, flags) ? progressLine(io.err, () => performance.now()) : null;
  try {
    return await work(engine, part, name, {
      ...given,
      ...(line && { progress: line.progress }),
      ...(onAnswers && {
        onAnswers: (answers) => {
          line?.clear();
          line?.announce(TO_COME[answers.kind]);
          onAnswers(answers);
        },
      }),
    });
  } finally {
    line?.clear();
  }
}

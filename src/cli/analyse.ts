import { basename, dirname } from 'node:path';
import { readFileBytes } from '../node/read-file.js';
import { progressLine } from '../node/terminal-progress.js';
import type { Engine, EngineContext } from '../node/worker-engine.js';
import type { CommonFlags } from './common-options.js';
import { wantsProgress, type Io } from './io.js';

/** Stands for stdin where a part is named. */
const STDIN = '-';

/** What a part is called on every sheet. */
export const partName = (path: string): string => (path === STDIN ? 'stdin' : basename(path));

/** Reads a part and does `work` on it, with progress where somebody watches. */
export async function analyse<T>(
  path: string,
  flags: CommonFlags,
  io: Io,
  work: (engine: Engine, bytes: Uint8Array, name: string, context: EngineContext) => Promise<T>,
): Promise<T> {
  const read = path === STDIN ? io.readIn() : readFileBytes(path, io.signal);
  const [bytes, engine] = await Promise.all([read, io.loadEngine()]);
  const name = partName(path),
    given = { signal: io.signal, folder: dirname(path) };
  if (!wantsProgress(io, flags)) return work(engine, bytes, name, given);
  const line = progressLine(io.err, () => performance.now());
  try {
    return await work(engine, bytes, name, { ...given, progress: line.progress });
  } finally {
    line.clear();
  }
}

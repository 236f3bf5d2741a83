import { basename } from 'node:path';
import type { Context } from '../core/context.js';
import { readFileBytes } from '../node/read-file.js';
import { progressLine } from '../node/terminal-progress.js';
import type { Engine } from '../node/worker-engine.js';
import type { CommonFlags } from './common-options.js';
import { wantsProgress, type Io } from './io.js';

/** Reads a part and does `work` on it, with progress where somebody watches. */
export async function analyse<T>(
  path: string,
  flags: CommonFlags,
  io: Io,
  work: (engine: Engine, bytes: Uint8Array, name: string, context: Context) => Promise<T>,
): Promise<T> {
  const [bytes, engine] = await Promise.all([readFileBytes(path, io.signal), io.loadEngine()]);
  if (!wantsProgress(io, flags)) return work(engine, bytes, basename(path), { signal: io.signal });
  const line = progressLine(io.err, () => performance.now());
  try {
    return await work(engine, bytes, basename(path), { signal: io.signal, progress: line.progress });
  } finally {
    line.clear();
  }
}

import { messageOf, PartError } from '../core/errors.js';
import { systemCode } from './read-file.js';

/** The error of a part that takes more memory than there is; null if something else went wrong. */
export function memoryError(thrown: unknown, where: string): PartError | null {
  const isHeap = systemCode(thrown) === 'ERR_WORKER_OUT_OF_MEMORY';
  // What V8 says where it has no room for a typed array.
  if (!isHeap && !/Array buffer allocation failed|Invalid typed array length/.test(messageOf(thrown)))
    return null;
  return new PartError({
    code: 'memory.exhausted',
    where,
    what: isHeap ? 'it needs more memory than Node may use' : 'it needs more memory than there is',
    remedy: isHeap
      ? 'export it coarser, or allow more with NODE_OPTIONS=--max-old-space-size=8192'
      : 'export it coarser, or use a machine with more memory',
  });
}

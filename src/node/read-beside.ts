import { realpath } from 'node:fs/promises';
import { resolve, sep } from 'node:path';
import { PartError } from '../core/errors.js';
import { readFileBytes } from './read-file.js';

/**
 * Reads the files that a part in this folder names.
 *
 * @returns throws `read.external-address` for what lies elsewhere, also behind a link; else as `readFileBytes`
 */
export const besideReader =
  (folder: string) =>
  async (path: string): Promise<Uint8Array> => {
    const named = resolve(folder, path);
    const [root, target] = await Promise.all([realpath(folder), realpath(named).catch(() => null)]);
    if (target !== null && !target.startsWith(root.endsWith(sep) ? root : `${root}${sep}`)) {
      throw new PartError({
        code: 'read.external-address',
        where: named,
        what: 'this leads out of the folder of the part, where nothing is read',
        remedy: 'put the file itself there',
      });
    }
    return readFileBytes(target ?? named);
  };

import { rename, rm, stat, writeFile } from 'node:fs/promises';
import process from 'node:process';
import { PartError } from '../core/errors.js';
import { systemMessage } from './read-file.js';

/**
 * Writes one file whole: beside its place first, then renamed.
 *
 * @throws {PartError} `output.occupied` if it is there already and `force` is not given, `output.failed` if
 *   the system refuses
 */
export async function writeTextFile(
  path: string,
  text: string,
  { force }: { readonly force: boolean },
): Promise<void> {
  const present = await stat(path).then(
    () => true,
    () => false,
  );
  if (present && !force) {
    throw new PartError({
      code: 'output.occupied',
      where: path,
      what: 'there is such a file already',
      remedy: 'name another, or add --force to write over it',
    });
  }
  const beside = `${path}.${process.pid}.part`;
  try {
    await writeFile(beside, text);
    await rename(beside, path);
  } catch (error) {
    await rm(beside, { force: true });
    throw new PartError({
      code: 'output.failed',
      where: path,
      what: systemMessage(error),
      remedy: 'check permissions and space, or name another',
    });
  }
}

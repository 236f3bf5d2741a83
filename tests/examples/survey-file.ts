import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { PartError, resolveSetup, surveyPart, type Plan, type SetupFile } from 'scarp';
import { reachPool } from 'scarp/node';

/**
 * Surveys a part file on all cores of this machine and writes everything that a survey gives.
 *
 * @param options as in a set-up file; what is left out takes its default
 * @returns the plan, or in one line why the part cannot be used
 */
export async function surveyFile(
  path: string,
  directory: string,
  options: SetupFile,
): Promise<Plan | string> {
  try {
    const setup = resolveSetup(undefined, options);
    const bytes = await readFile(path);
    const { plan, files } = await surveyPart(bytes, basename(path), setup, {}, reachPool());
    await mkdir(directory, { recursive: true });
    for (const [name, content] of files) await writeFile(join(directory, name), content);
    return plan;
  } catch (error) {
    if (!(error instanceof PartError)) throw error;
    const { where, what, remedy } = error.info;
    return `${where}: ${what}; ${remedy}`;
  }
}

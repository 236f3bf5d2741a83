import { mkdir, mkdtemp, readdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import process from 'node:process';
import { PartError } from '../core/errors.js';
import { systemCode, systemMessage } from './read-file.js';

/** Names the files of a directory that scarp wrote; its presence is what makes the directory scarp's own. */
const LIST_NAME = '.scarp-files';
/** There while one run puts its files in, so that another waits. */
const LOCK_NAME = '.scarp-writing';
/** Begins the name of what is made and removed to see whether the output can go there. */
const TRY_NAME = '.scarp-try-';
/** What runs keep in a directory for a moment. */
const isOfARun = (name: string): boolean => name === LOCK_NAME || name.startsWith(TRY_NAME);
/** Putting files in takes milliseconds: a lock this old was left by a run that was killed. */
const STALE_LOCK_MS = 10_000;
/** Writing takes seconds: what is this old is no run's that still writes. */
const STALE_PART_MS = 3_600_000;
const LOCK_WAIT_MS = 50;

export type OutputFiles = ReadonlyMap<string, Uint8Array | string>;

export interface OutputOptions {
  /** Also write among files that are not scarp's; those whose names are not needed stay. */
  readonly force: boolean;
  readonly signal?: AbortSignal | undefined;
}

/**
 * Refuses, before any work is done, a place where the output cannot or must not go. A missing or empty
 * directory and one that scarp wrote (and nobody added to) are fine.
 *
 * @throws {PartError} `output.not-a-directory`, `output.occupied`, `output.denied`
 */
export async function checkOutputDirectory(
  path: string,
  { force }: Pick<OutputOptions, 'force'>,
): Promise<void> {
  if (path === '')
    throw refusal('no-name', '--out', 'an empty name', 'name a directory, or leave the option out');
  const present = (await entriesOf(path))?.filter((name) => !isOfARun(name)) ?? null;
  await tryToWrite(resolve(path), path);
  if (present === null || present.length === 0 || force) return;
  const own = await ownFiles(path);
  const foreign = present.filter((name) => name !== LIST_NAME && !own.includes(name)).sort();
  if (own.length > 0 && foreign.length === 0) return;
  const also = foreign.length > 1 ? ` and ${foreign.length - 1} more` : '';
  throw refusal(
    'occupied',
    path,
    `holds ${foreign[0] ?? LIST_NAME}${also}, which scarp did not write`,
    'name another directory with --out, or add --force to write there all the same',
  );
}

/**
 * Writes all files or none: into a directory beside the goal first, then renamed. Into a directory that
 * exists the finished files are moved one by one, and back if one cannot be; files of an earlier run that are no longer
 * written are removed. Of two runs one waits until the other has moved its own.
 *
 * @throws {PartError} as `checkOutputDirectory`, and `output.failed` if the system refuses
 * @throws the signal's reason if it is aborted; nothing is left behind then
 */
export async function writeOutputDirectory(
  path: string,
  files: OutputFiles,
  options: OutputOptions,
): Promise<void> {
  await checkOutputDirectory(path, options);
  const goal = resolve(path);
  let beside: string | null = null;
  try {
    await mkdir(dirname(goal), { recursive: true });
    await sweep(goal);
    beside = await mkdtemp(join(dirname(goal), partName(goal)));
    // One level deeper, because mkdtemp's own directory is closed to everybody but its owner.
    const finished = join(beside, 'files');
    await mkdir(finished);
    const names = [...files.keys()].sort();
    for (const [name, content] of [...files, [LIST_NAME, `${names.join('\n')}\n`] as const]) {
      options.signal?.throwIfAborted();
      await writeFile(join(finished, name), content);
    }
    options.signal?.throwIfAborted();
    if ((await entriesOf(goal)) !== null || !(await isPlaced(finished, goal))) {
      await locked(goal, async () => moveFiles(finished, goal, join(beside ?? goal, 'before'), names));
    }
  } catch (error) {
    if (error instanceof PartError || options.signal?.aborted) throw error;
    throw refusal('failed', path, ...told(error));
  } finally {
    if (beside !== null) await remove(beside);
  }
}

/**
 * Refuses a place for one file where there is one already.
 *
 * @throws {PartError} `output.occupied` unless `force` is given
 */
export async function checkOutputFile(path: string, { force }: Pick<OutputOptions, 'force'>): Promise<void> {
  const present = await stat(path).catch(() => null);
  if (present === null || force) return;
  const remedy = 'name another, or add --force to write over it';
  throw refusal('occupied', path, 'there is such a file already', remedy);
}

/**
 * Writes one file whole: beside its place first, then renamed.
 *
 * @throws {PartError} as `checkOutputFile`, and `output.failed` if the system refuses
 */
export async function writeOutputFile(
  path: string,
  content: Uint8Array | string,
  options: Pick<OutputOptions, 'force'>,
): Promise<void> {
  await checkOutputFile(path, options);
  const beside = `${path}.${process.pid}.part`;
  try {
    await writeFile(beside, content);
    await move(beside, path);
  } catch (error) {
    await rm(beside, { force: true });
    throw refusal('failed', path, ...told(error));
  }
}

/** What the system says where another program has a file open and lets none take its place. */
const HELD: ReadonlySet<string> = new Set(['EBUSY', 'EPERM', 'EACCES']);
/** A second: whoever only looks into new files, as a search for viruses does, has let go by then. */
const MOST_MOVES = 20;

/** Renames, again where the file is held. */
async function move(from: string, to: string): Promise<void> {
  for (let tried = 1; ; tried++) {
    try {
      return await rename(from, to);
    } catch (error) {
      if (!HELD.has(systemCode(error)) || tried === MOST_MOVES) throw error;
      await pause(LOCK_WAIT_MS);
    }
  }
}

const pause = (ms: number): Promise<void> => new Promise((resume) => setTimeout(resume, ms));

/** What stopped it, and what to do. */
function told(error: unknown): [what: string, remedy: string] {
  if (HELD.has(systemCode(error)) && error instanceof Error && 'dest' in error)
    return [
      `${basename(String(error.dest))} cannot be moved or replaced (${systemCode(error)})`,
      'close the program that has it open, check permissions, or name another place',
    ];
  return [systemMessage(error), 'check permissions and space, or name another place'];
}

/** Removes what is there; what another program holds stays, for a later run to sweep. */
const remove = (path: string): Promise<void> =>
  rm(path, { recursive: true, force: true, maxRetries: 3 }).catch(() => {});

/**
 * Makes and removes a directory where the output would go, or as near to it as there is a directory already.
 */
async function tryToWrite(goal: string, path: string): Promise<void> {
  try {
    await rm(await mkdtemp(join(goal, TRY_NAME)), { recursive: true });
  } catch (error) {
    const parent = dirname(goal);
    if (systemCode(error) === 'ENOENT' && parent !== goal && (await entriesOf(goal)) === null) {
      await tryToWrite(parent, path);
      return;
    }
    throw refusal('denied', path, systemMessage(error), 'check permissions, or name another with --out');
  }
}

const partName = (goal: string): string => `.${basename(goal)}-part-`;

/** Removes what runs into the same directory left in it and beside it that were killed. */
async function sweep(goal: string): Promise<void> {
  for (const directory of [dirname(goal), goal])
    for (const name of (await entriesOf(directory)) ?? []) {
      if (!name.startsWith(partName(goal)) && !name.startsWith(TRY_NAME)) continue;
      const left = join(directory, name);
      if ((await ageMs(left)) > STALE_PART_MS) await remove(left);
    }
}

/** Whether the finished directory could take the place of the goal: not if another run has made it meanwhile. */
async function isPlaced(finished: string, goal: string): Promise<boolean> {
  try {
    await move(finished, goal);
    return true;
  } catch (error) {
    // On Linux, on others.
    if (['ENOTEMPTY', 'EEXIST', 'EPERM'].includes(systemCode(error))) return false;
    throw error;
  }
}

/** Does the work while no other run does its own in the same directory. */
async function locked(goal: string, work: () => Promise<void>): Promise<void> {
  const lock = join(goal, LOCK_NAME);
  for (let waitedMs = 0; !(await isNew(lock)); waitedMs += LOCK_WAIT_MS) {
    // Waited for as long as that it is stale too, whatever the clock of the disk says.
    if (Math.max(waitedMs, await ageMs(lock)) > STALE_LOCK_MS) await rm(lock, { force: true });
    else await pause(LOCK_WAIT_MS);
  }
  try {
    await work();
  } finally {
    await rm(lock, { force: true });
  }
}

/** Makes an empty file. @returns false if there is one */
async function isNew(path: string): Promise<boolean> {
  try {
    await writeFile(path, '', { flag: 'wx' });
    return true;
  } catch (error) {
    if (systemCode(error) === 'EEXIST') return false;
    throw error;
  }
}

/** How long ago it was changed; 0 if it is gone. */
async function ageMs(path: string): Promise<number> {
  const found = await stat(path).catch(() => null);
  return found === null ? 0 : Date.now() - found.mtimeMs;
}

/** @param before directory to be made for what is there under the same names, until all is moved */
async function moveFiles(
  finished: string,
  goal: string,
  before: string,
  names: readonly string[],
): Promise<void> {
  const own = await ownFiles(goal);
  await mkdir(before);
  const back: (() => Promise<void>)[] = [];
  try {
    for (const name of new Set([...(await readdir(finished)), ...own])) {
      const [from, to, kept] = [finished, goal, before].map((folder) => join(folder, name));
      const found = await stat(to).catch(() => null);
      // A directory is never scarp's: moving a file over it fails.
      if (found?.isFile()) {
        await move(to, kept);
        back.push(() => move(kept, to));
      }
      if (!names.includes(name) && name !== LIST_NAME) continue;
      await move(from, to);
      if (!found?.isFile()) back.push(() => rm(to, { force: true }));
    }
  } catch (error) {
    for (const undo of back.reverse()) await undo().catch(() => {});
    throw error;
  }
}

async function entriesOf(path: string): Promise<string[] | null> {
  try {
    return await readdir(path);
  } catch (error) {
    const code = systemCode(error);
    if (code === 'ENOENT') return null;
    if (code === 'ENOTDIR') {
      const found = await stat(path).catch(() => null);
      const what = found?.isFile() ? 'a file, not a directory' : 'a part of this path is a file';
      throw refusal('not-a-directory', path, what, 'name another directory with --out');
    }
    throw refusal('denied', path, systemMessage(error), 'check its permissions, or name another with --out');
  }
}

/** Files that an earlier run wrote there; none if the directory is not scarp's. */
async function ownFiles(path: string): Promise<string[]> {
  try {
    const names = (await readFile(join(path, LIST_NAME), 'utf8')).split('\n').filter((name) => name !== '');
    return names.filter((name) => name === basename(name));
  } catch (error) {
    if (systemCode(error) === 'ENOENT') return [];
    throw error;
  }
}

const refusal = (reason: string, where: string, what: string, remedy: string): PartError =>
  new PartError({ code: `output.${reason}`, where, what, remedy });

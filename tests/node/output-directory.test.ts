import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import promises from 'node:fs/promises';
import { syncBuiltinESMExports } from 'node:module';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import process from 'node:process';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  checkOutputDirectory,
  writeOutputDirectory,
  writeOutputFile,
} from '../../src/node/output-directory.js';

let folder = '';
let count = 0;
const fresh = (): string => join(folder, `d${count++}`);
const files = (...names: string[]) =>
  new Map<string, string | Uint8Array>(names.map((name) => [name, name.repeat(2)]));
const leftovers = () => readdirSync(folder).filter((name) => name.startsWith('.'));

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-out-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

test('writes into a new directory, parents too, open to others as the umask says', async () => {
  const path = join(fresh(), 'a', 'b');
  await writeOutputDirectory(path, files('x', 'y'), { force: false });
  expect(readFileSync(join(path, 'y'), 'utf8')).toBe('yy');
  const plain = fresh();
  mkdirSync(plain);
  expect(statSync(path).mode).toBe(statSync(plain).mode);
});

test('overwrites what it wrote, removes what is no longer written', async () => {
  const path = fresh();
  await writeOutputDirectory(path, files('x', 'old'), { force: false });
  await writeOutputDirectory(path, new Map([['x', 'new']]), { force: false });
  expect(readdirSync(path).sort()).toEqual(['.scarp-files', 'x']);
  expect(readFileSync(join(path, 'x'), 'utf8')).toBe('new');
  expect(leftovers()).toEqual([]);
});

test('an empty directory will do; one with files of others only with force, and those stay', async () => {
  const path = fresh();
  mkdirSync(path);
  await writeOutputDirectory(path, files('x'), { force: false });
  writeFileSync(join(path, 'mine'), 'mine');
  await expect(checkOutputDirectory(path, { force: false })).rejects.toMatchObject({
    info: { code: 'output.occupied' },
  });
  await expect(writeOutputDirectory(path, files('z'), { force: false })).rejects.toThrow(
    'holds mine, which scarp did not write',
  );
  expect(readdirSync(path).sort()).toEqual(['.scarp-files', 'mine', 'x']);
  await writeOutputDirectory(path, files('z'), { force: true });
  expect(readdirSync(path).sort()).toEqual(['.scarp-files', 'mine', 'z']);
});

test('a list that names files outside the directory removes nothing there', async () => {
  const path = fresh();
  const outside = join(folder, 'outside.txt');
  writeFileSync(outside, 'keep');
  mkdirSync(path);
  writeFileSync(join(path, '.scarp-files'), '../outside.txt\nx\n');
  await writeOutputDirectory(path, files('y'), { force: false });
  expect(existsSync(outside)).toBe(true);
});

test('a file in the way is refused, also as a parent', async () => {
  const path = fresh();
  writeFileSync(path, '');
  for (const goal of [path, join(path, 'sub')]) {
    await expect(checkOutputDirectory(goal, { force: true })).rejects.toMatchObject({
      info: { code: 'output.not-a-directory' },
    });
  }
});

// /proc takes no directories, whoever asks.
test('a place where nothing can be written is refused before any work', async () => {
  await expect(checkOutputDirectory('/proc/scarp/out', { force: true })).rejects.toMatchObject({
    info: { code: 'output.denied' },
  });
  const path = fresh();
  await checkOutputDirectory(join(path, 'a', 'b'), { force: false });
  expect(existsSync(path)).toBe(false);
  expect(leftovers()).toEqual([]);
});

test('aborted while writing: neither the directory nor anything beside it', async () => {
  const path = fresh();
  const controller = new AbortController();
  const stopping = files('a', 'b');
  Object.defineProperty(stopping, Symbol.iterator, {
    *value() {
      yield ['a', 'first'];
      controller.abort(new Error('stop'));
      yield ['b', 'second'];
    },
  });
  await expect(
    writeOutputDirectory(path, stopping, { force: false, signal: controller.signal }),
  ).rejects.toThrow('stop');
  expect(existsSync(path)).toBe(false);
  expect(leftovers()).toEqual([]);
});

test('a failing write leaves an earlier result whole', async () => {
  const path = fresh();
  await writeOutputDirectory(path, files('x'), { force: false });
  await expect(
    writeOutputDirectory(
      path,
      new Map([
        ['x', 'new'],
        ['no/such/place', ''],
      ]),
      { force: false },
    ),
  ).rejects.toMatchObject({ info: { code: 'output.failed' } });
  expect(readFileSync(join(path, 'x'), 'utf8')).toBe('xx');
  expect(leftovers()).toEqual([]);
});

test('an empty name is none', async () => {
  await expect(checkOutputDirectory('', { force: false })).rejects.toMatchObject({
    info: { code: 'output.no-name', where: '--out' },
  });
});

test('a directory of the name of a file: refused, and the earlier result is as it was', async () => {
  const path = fresh();
  await writeOutputDirectory(path, files('a', 'c'), { force: false });
  mkdirSync(join(path, 'b'));
  await expect(
    writeOutputDirectory(path, new Map([...files('b'), ['a', 'new'], ['c', 'new']]), { force: true }),
  ).rejects.toMatchObject({ info: { code: 'output.failed' } });
  expect(readdirSync(path).sort()).toEqual(['.scarp-files', 'a', 'b', 'c']);
  expect(['a', 'c'].map((name) => readFileSync(join(path, name), 'utf8'))).toEqual(['aa', 'cc']);
  expect(leftovers()).toEqual([]);
});

test.each([false, true])(
  'of runs into one directory at once the last is whole; there before: %s',
  async (isThere) => {
    const path = fresh();
    if (isThere) await writeOutputDirectory(path, files('a', 'b'), { force: false });
    const runs = ['1', '2', '3', '4'].map((run) =>
      writeOutputDirectory(path, new Map([...'abcdefgh'].map((name) => [name, run])), { force: false }),
    );
    await Promise.all(runs);
    const written = [...'abcdefgh'].map((name) => readFileSync(join(path, name), 'utf8'));
    expect(new Set(written).size).toBe(1);
    expect(readdirSync(path).sort()).toEqual(['.scarp-files', ...'abcdefgh']);
    expect(leftovers()).toEqual([]);
  },
);

test('what a run left that was killed does not stop the next, and goes', async () => {
  const path = fresh();
  await writeOutputDirectory(path, files('a'), { force: false });
  const lock = join(path, '.scarp-writing');
  writeFileSync(lock, '');
  const beside = join(folder, `.${basename(path)}-part-abcdef`);
  mkdirSync(beside);
  writeFileSync(join(beside, 'a'), '');
  const tried = [path, folder].map((directory) => join(directory, '.scarp-try-abcdef'));
  for (const directory of tried) mkdirSync(directory);
  for (const left of [lock, beside, ...tried]) utimesSync(left, 1, 1);
  await writeOutputDirectory(path, files('b'), { force: false });
  expect(readdirSync(path).sort()).toEqual(['.scarp-files', 'b']);
  expect(leftovers()).toEqual([]);
});

// What rename(2) and Windows say of a file that another program holds; the system is made to say so here.
describe.each(['EBUSY', 'EPERM', 'EACCES'])('%s for a file in the middle', (code) => {
  /** Renames of files of this name fail, so many times. */
  async function whileHeld(name: string, times: number, work: () => Promise<void>): Promise<void> {
    const { rename } = promises;
    let left = times;
    promises.rename = async (from, to) => {
      if (basename(String(from)) !== name || left-- <= 0) return rename(from, to);
      throw Object.assign(new Error(`${code}: rename`), { code, syscall: 'rename', path: from, dest: to });
    };
    syncBuiltinESMExports();
    try {
      await work();
    } finally {
      promises.rename = rename;
      syncBuiltinESMExports();
    }
  }
  const contentOf = (path: string) =>
    Object.fromEntries(readdirSync(path).map((name) => [name, readFileSync(join(path, name), 'utf8')]));
  const next = new Map([...'abcde'].map((name) => [name, 'new']));

  test('one line that names it, the earlier result whole', async () => {
    const path = fresh();
    await writeOutputDirectory(path, files('b', 'c', 'd', 'old'), { force: false });
    const before = contentOf(path);
    await whileHeld('c', Infinity, async () => {
      await expect(writeOutputDirectory(path, next, { force: false })).rejects.toMatchObject({
        message: `${path}: c cannot be moved or replaced (${code}); close the program that has it open, check permissions, or name another place`,
        info: { code: 'output.failed' },
      });
    });
    expect(contentOf(path)).toEqual(before);
    expect(leftovers()).toEqual([]);
  });

  test('let go within a second: the new result whole', async () => {
    const path = fresh();
    await writeOutputDirectory(path, files('b', 'c', 'old'), { force: false });
    await whileHeld('c', 3, () => writeOutputDirectory(path, next, { force: false }));
    const { '.scarp-files': _, ...written } = contentOf(path);
    expect(written).toEqual(Object.fromEntries(next));
    expect(leftovers()).toEqual([]);
  });

  test('a single file: as it was', async () => {
    const path = fresh();
    await writeOutputFile(path, 'old', { force: false });
    const isPart = `${basename(path)}.${process.pid}.part`;
    await whileHeld(isPart, Infinity, async () => {
      await expect(writeOutputFile(path, 'new', { force: true })).rejects.toThrow(
        `${path}: ${basename(path)} cannot be moved or replaced (${code}); close the program`,
      );
    });
    expect(readFileSync(path, 'utf8')).toBe('old');
    expect(readdirSync(folder).filter((name) => name.endsWith('.part'))).toEqual([]);
  });
});

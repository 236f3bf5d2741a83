import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync, truncateSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import {
  fileChunks,
  fileDay,
  readFileBytes,
  readJsonFile,
  readPartFile,
  readStreamBytes,
} from '../../src/node/read-file.js';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-read-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

test('reads every byte, also none', async () => {
  const path = join(folder, 'bytes');
  const bytes = Uint8Array.from({ length: 100_000 }, (_, i) => (i * 7) % 251);
  writeFileSync(path, bytes);
  expect(Buffer.compare(await readFileBytes(path), bytes)).toBe(0);
  writeFileSync(path, '');
  expect(await readFileBytes(path)).toHaveLength(0);
});

// Node 20: reads of 2^31 bytes and more stop the process, so they must be refused before.
test('more than 2 GiB is refused by size, before anything is read', async () => {
  const path = join(folder, 'huge');
  writeFileSync(path, '');
  truncateSync(path, 2 ** 31);
  await expect(readFileBytes(path)).rejects.toMatchObject({
    info: { code: 'read.too-large', what: '2.0 GiB, at most 2 GiB can be read' },
  });
});

test('a part of more than 2 GiB is handed on by its name, a smaller one as bytes', async () => {
  const path = join(folder, 'huge-part');
  writeFileSync(path, '');
  truncateSync(path, 2 ** 31);
  expect(await readPartFile(path)).toEqual({ path, length: 2 ** 31 });
  truncateSync(path, 5);
  expect(await readPartFile(path)).toHaveLength(5);
  await expect(readPartFile(join(folder, 'none'))).rejects.toMatchObject({ info: { code: 'read.missing' } });
});

test('of a stream more than 2 GiB is refused as soon as it is there', async () => {
  const piece = new Uint8Array(2 ** 30);
  let asked = 0;
  async function* stream(): AsyncGenerator<Uint8Array> {
    for (; asked < 9; asked++) yield piece;
  }
  await expect(readStreamBytes(stream(), 'stdin')).rejects.toMatchObject({
    info: { code: 'read.too-large' },
  });
  expect(asked).toBe(1);
  async function* short(): AsyncGenerator<Uint8Array> {
    yield Uint8Array.of(1, 2);
    yield Uint8Array.of(3);
  }
  expect([...(await readStreamBytes(short(), 'stdin'))]).toEqual([1, 2, 3]);
});

test('pieces of a file are its bytes, in order, with the checksum of the whole', () => {
  const path = join(folder, 'pieces');
  const bytes = Uint8Array.from({ length: 1000 }, (_, i) => (i * 7) % 251);
  writeFileSync(path, bytes);
  const file = fileChunks({ path, length: 1000 });
  const into = new Uint8Array(300);
  const pieces = [300, 300, 300, 100].map((expected) => {
    expect(file.read(into)).toBe(expected);
    return into.slice(0, expected);
  });
  expect(Buffer.compare(Buffer.concat(pieces), bytes)).toBe(0);
  expect(file.read(into)).toBe(0);
  expect(file.sha256()).toBe(createHash('sha256').update(bytes).digest('hex'));
  expect(() => fileChunks({ path: join(folder, 'gone'), length: 1 })).toThrow(/gone: no such file/);
});

test.each([
  ['missing', 'nothing-here'],
  ['missing', 'bytes/below'],
  ['directory', '.'],
])('%s: %s', async (reason, name) => {
  await expect(readFileBytes(join(folder, name))).rejects.toMatchObject({ info: { code: `read.${reason}` } });
});

test('a device is no part', async () => {
  await expect(readFileBytes('/dev/null')).rejects.toMatchObject({ info: { code: 'read.not-a-file' } });
});

test('an aborted signal stops it', async () => {
  await expect(readFileBytes(join(folder, 'bytes'), AbortSignal.abort(new Error('stop')))).rejects.toThrow(
    'stop',
  );
});

test('JSON, and what is none', async () => {
  const path = join(folder, 'a.json');
  writeFileSync(path, '{"a": [1]}');
  expect(await readJsonFile(path, 'setup')).toEqual({ a: [1] });
  writeFileSync(path, '{"a": ');
  await expect(readJsonFile(path, 'setup')).rejects.toMatchObject({
    info: { code: 'setup.not-json', where: path },
  });
});

// The title block of the drawings carries it: of the file, not of the run.
test('the day of a file is the one on which it was last changed, in UTC', async () => {
  const path = join(folder, 'part.stl');
  writeFileSync(path, 'x');
  utimesSync(path, 0, Date.UTC(2025, 11, 31, 23, 59) / 1000);
  expect(await fileDay(path)).toBe('2025-12-31');
  utimesSync(path, 0, Date.UTC(2026, 0, 1) / 1000);
  expect(await fileDay(path)).toBe('2026-01-01');
  expect(await fileDay(join(folder, 'none'))).toBeNull();
});

test('a pipe that nobody writes to is refused at once', async () => {
  const path = join(folder, 'pipe');
  execFileSync('mkfifo', [path]);
  await expect(readFileBytes(path)).rejects.toMatchObject({ info: { code: 'read.not-a-file' } });
});

import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { besideReader } from '../../src/node/read-beside.js';

let root = '';
const folder = (): string => join(root, 'parts');
beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'scarp-beside-'));
  mkdirSync(join(folder(), 'data'), { recursive: true });
  writeFileSync(join(root, 'secret.bin'), 'secret');
  writeFileSync(join(folder(), 'part.bin'), 'part');
  writeFileSync(join(folder(), 'data', 'more.bin'), 'more');
  symlinkSync(join(root, 'secret.bin'), join(folder(), 'link.bin'));
  symlinkSync(root, join(folder(), 'up'));
  symlinkSync('part.bin', join(folder(), 'same.bin'));
  symlinkSync(folder(), join(root, 'linked-folder'));
});
afterAll(() => rmSync(root, { recursive: true }));

const textOf = async (path: string, from = folder()): Promise<string> =>
  new TextDecoder().decode(await besideReader(from)(path));

test.each([
  ['part.bin', 'part'],
  ['./data/more.bin', 'more'],
  ['same.bin', 'part'],
])('%s is read', async (path, text) => {
  expect(await textOf(path)).toBe(text);
  expect(await textOf(path, join(root, 'linked-folder'))).toBe(text);
});

test.each(['link.bin', 'up/secret.bin', '../secret.bin', '/etc/passwd'])('%s leads out', async (path) => {
  await expect(textOf(path)).rejects.toMatchObject({ info: { code: 'read.external-address' } });
});

test('what is not there is told as missing', async () => {
  await expect(textOf('nothing.bin')).rejects.toMatchObject({ info: { code: 'read.missing' } });
});

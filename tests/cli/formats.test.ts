import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { EXIT } from '../../src/cli/io.js';
import { dracoGlb, gltfOf, meshoptGlb } from '../support/gltf-files.js';
import { box } from '../support/shapes.js';
import { facettedStep } from '../support/step-files.js';

// What needs a process of its own: folders, packages, and what another program might print.
const BIN = new URL('../../dist/cli/main.js', import.meta.url).pathname;

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-formats-'));
  mkdirSync(join(folder, 'parts', 'data'), { recursive: true });
});
afterAll(() => rmSync(folder, { recursive: true }));

const scarp = (argv: readonly string[], node: readonly string[] = []) =>
  spawnSync(process.execPath, [...node, BIN, ...argv], { cwd: folder, encoding: 'utf8' });

test('buffers of a glTF are found beside it, wherever it is called from, and nowhere else', () => {
  const { json, buffer } = gltfOf(box(20, 30, 10));
  const write = (name: string, uri: string): void =>
    writeFileSync(
      join(folder, 'parts', name),
      JSON.stringify({ ...json, buffers: [{ uri, byteLength: buffer.length }] }),
    );
  writeFileSync(join(folder, 'parts', 'data', 'a b.bin'), buffer);
  writeFileSync(join(folder, 'outside.bin'), buffer);
  write('inside.gltf', 'data/a%20b.bin');
  write('outside.gltf', '../outside.bin');
  const inside = scarp(['check', 'parts/inside.gltf', '--json']);
  expect(inside.stderr).toBe('');
  expect(JSON.parse(inside.stdout).source).toMatchObject({ format: 'gltf', triangles: 12, unit: 'm' });
  const outside = scarp(['check', 'parts/outside.gltf']);
  expect(outside).toMatchObject({ status: EXIT.unusablePart, stdout: '' });
  expect(outside.stderr).toMatch(/^scarp: outside\.gltf: .*\n$/);
});

// Decoders are packages with files of their own, which a bundle may lose.
test('packed glTF is read by the built command', async () => {
  const corners = box(20, 30, 10);
  writeFileSync(join(folder, 'draco.glb'), (await dracoGlb(corners, 14)).glb);
  writeFileSync(join(folder, 'meshopt.glb'), (await meshoptGlb(corners)).glb);
  for (const name of ['draco.glb', 'meshopt.glb']) {
    const { stdout, stderr } = scarp(['check', name, '--json']);
    expect(stderr).toBe('');
    expect(JSON.parse(stdout).source, name).toMatchObject({ format: 'glb', triangles: 12 });
  }
});

/** Lets Node find every package but the one that reads STEP, in threads as well. */
const WITHOUT_STEP = (() => {
  const text = (source: string): string => `data:text/javascript,${encodeURIComponent(source)}`;
  const hook = text(
    'export const resolve = (name, context, next) => {' +
      "if (name === 'occt-import-js') throw Object.assign(new Error('none'), { code: 'ERR_MODULE_NOT_FOUND' });" +
      'return next(name, context); };',
  );
  return ['--import', text(`import { register } from 'node:module'; register(${JSON.stringify(hook)});`)];
})();

test('STEP without the package that reads it: one line says what to install, and nothing is written', () => {
  writeFileSync(join(folder, 'part.step'), facettedStep(box(20, 30, 10)));
  const before = readdirSync(folder);
  const { status, stdout, stderr } = scarp(['survey', 'part.step'], WITHOUT_STEP);
  expect({ status, stdout }).toEqual({ status: EXIT.unusablePart, stdout: '' });
  expect(stderr).toMatch(/^scarp: part\.step: .*npm install occt-import-js@\d.*\n$/);
  expect(readdirSync(folder)).toEqual(before);
});

test('what the reader of STEP prints does not get among the answer', () => {
  writeFileSync(join(folder, 'cut.step'), facettedStep(box(20, 30, 10)).subarray(0, 900));
  const { status, stdout, stderr } = scarp(['check', 'cut.step', '--json']);
  expect({ status, stdout }).toEqual({ status: EXIT.unusablePart, stdout: '' });
  expect(stderr).toMatch(/^scarp: cut\.step: .*Line \d.*\n$/);
});

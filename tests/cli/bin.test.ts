import { spawn, spawnSync } from 'node:child_process';
import {
  closeSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { EXIT } from '../../src/cli/io.js';
import { TWO_CUTTERS } from '../page/browser.js';
import { BYTES_PER_TRIANGLE } from '../../src/survey/check-proportion.js';
import { box, boxPocket, icosphere } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

// The built program as a process of its own; `npm test` builds it first.
const BIN = new URL('../../dist/cli/main.js', import.meta.url).pathname;
const MODEL = new URL('../../models/clip-insert.stl', import.meta.url).pathname;
const SCHEMAS = new URL('../../dist/schema/', import.meta.url);

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-bin-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const scarp = (...argv: string[]) =>
  spawnSync(process.execPath, [BIN, ...argv], { cwd: folder, encoding: 'utf8' });

test('help needs neither the analysis nor the schemas', () => {
  const { status, stdout, stderr } = spawnSync(process.execPath, [BIN, '--help'], {
    encoding: 'utf8',
    env: { ...process.env, NODE_DEBUG: 'esm' },
  });
  expect(status).toBe(EXIT.done);
  expect(stdout).toContain('survey');
  expect(stderr).toContain('commander');
  expect(stderr).not.toMatch(/zod|three|dist\/survey|node\/worker-engine/);
});

// Small, since it is surveyed twice: models go through outputs.test.ts, all default balls through reach.test.ts.
test('a survey: files into the default directory, the plan valid against the shipped schema', () => {
  writeFileSync(
    join(folder, 'pocket.stl'),
    binaryStl(boxPocket({ width: 12, length: 10, depth: 4, land: 3 })),
  );
  writeFileSync(join(folder, 'two.json'), TWO_CUTTERS);
  const { status, stdout, stderr } = scarp('survey', 'pocket.stl', '--setup', 'two.json');
  expect({ status, stderr }).toEqual({ status: EXIT.done, stderr: '' });
  expect(stdout).toContain('pocket-survey/');
  const directory = join(folder, 'pocket-survey');
  const names = readdirSync(directory);
  for (const name of ['plan.json', 'outlines.svg', 'part.glb', 'zones.csv', 'cutters.csv']) {
    expect(names).toContain(name);
    expect(statSync(join(directory, name)).size).toBeGreaterThan(0);
  }
  const validate = new Ajv2020({ strictTuples: false }).compile(
    JSON.parse(readFileSync(new URL('plan-1.schema.json', SCHEMAS), 'utf8')),
  );
  const text = readFileSync(join(directory, 'plan.json'), 'utf8');
  expect(validate(JSON.parse(text)), JSON.stringify(validate.errors)).toBe(true);
  const json = scarp('survey', 'pocket.stl', '--setup', 'two.json', '--json');
  expect(json.stdout).toBe(text);
});

test('check: one JSON document on stdout', () => {
  const { status, stdout } = scarp('check', MODEL, '--json');
  expect(status).toBe(EXIT.done);
  expect(JSON.parse(stdout)).toMatchObject({
    source: { format: 'stl-binary' },
    mesh: { closed: true, openEdges: 0 },
  });
});

// What the README states, and what a part is refused by: of the system's own count, less that of a part of 12 triangles.
test('a check takes no more memory for each triangle than is stated', () => {
  const TELL = "process.on('exit', () => console.error(process.resourceUsage().maxRSS))";
  const peakBytes = (soup: Float64Array): number => {
    const path = join(folder, 'peak.stl');
    writeFileSync(path, binaryStl(soup));
    const { status, stderr } = spawnSync(
      process.execPath,
      ['--import', `data:text/javascript,${TELL}`, BIN, 'check', path, '--quiet'],
      { encoding: 'utf8' },
    );
    expect(status).toBe(EXIT.done);
    return 1024 * Number(stderr.trim().split('\n').at(-1));
  };
  const ball = icosphere(30, 7),
    triangles = ball.length / 9;
  const each = (peakBytes(ball) - peakBytes(box(3, 2, 1))) / triangles;
  expect(triangles).toBeGreaterThan(250_000);
  expect(each).toBeGreaterThan(100);
  expect(each).toBeLessThan(BYTES_PER_TRIANGLE.check);
  const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8').replaceAll(/\s+/g, ' ');
  const { check, survey } = BYTES_PER_TRIANGLE;
  expect(readme).toContain(
    `${survey / 1000} kB of memory for each triangle surveyed, ${check / 1000} kB for each one checked`,
  );
});

test.each([
  ['truncated.stl', readFileSync(MODEL).subarray(0, 5000)],
  ['empty.stl', ''],
  ['text.stl', 'this is no mesh'],
  ['zip.stl', Buffer.from('PK\u0003\u0004 and so on')],
])('%s: one line, exit 3, nothing written', (name, content) => {
  writeFileSync(join(folder, name), content);
  const { status, stdout, stderr } = scarp('survey', name);
  expect({ status, stdout }).toEqual({ status: EXIT.unusablePart, stdout: '' });
  expect(stderr).toMatch(/^scarp: [^\n]*;[^\n]*\n$/);
  expect(readdirSync(folder)).not.toContain(name.replace('.stl', '-survey'));
});

// /dev/full takes nothing, as a full disk does.
test('--json to a full disk: one line, and a code of its own', () => {
  const full = openSync('/dev/full', 'w');
  const { status, stderr } = spawnSync(process.execPath, [BIN, 'check', MODEL, '--json'], {
    encoding: 'utf8',
    stdio: ['ignore', full, 'pipe'],
  });
  closeSync(full);
  expect(status).toBe(EXIT.usage);
  expect(stderr).toMatch(/^scarp: standard output: [^\n]*ENOSPC[^\n]*\n$/);
});

test('Ctrl-C in the middle of a computation: exit 130 at once, nothing written', async () => {
  const name = 'dense.stl';
  writeFileSync(join(folder, name), denseStl(400));
  const child = spawn(process.execPath, [BIN, 'survey', name], { cwd: folder });
  const ended = new Promise<number | null>((resolve) => child.on('exit', (code) => resolve(code)));
  await new Promise((resolve) => setTimeout(resolve, 1500));
  child.kill('SIGINT');
  expect(await ended).toBe(EXIT.interrupted);
  expect(readdirSync(folder).filter((one) => one.includes('dense') && one !== name)).toEqual([]);
});

/** An open wavy ground of `2 n²` facets: long enough in work to be interrupted. */
function denseStl(n: number): Buffer {
  const bytes = Buffer.alloc(84 + 50 * 2 * n * n);
  bytes.writeUInt32LE(2 * n * n, 80);
  let at = 84;
  const height = (x: number, y: number) => 5 * Math.sin(x / 9) * Math.cos(y / 7);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      for (const [a, b, c] of [
        [
          [0, 0],
          [1, 0],
          [1, 1],
        ],
        [
          [0, 0],
          [1, 1],
          [0, 1],
        ],
      ]) {
        [a, b, c].forEach(([dx, dy], k) =>
          [i + dx, j + dy, height(i + dx, j + dy)].forEach((value, axis) =>
            bytes.writeFloatLE(value, at + 12 + 12 * k + 4 * axis),
          ),
        );
        at += 50;
      }
    }
  }
  return bytes;
}

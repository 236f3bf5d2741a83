import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { PLACEHOLDER_MACHINE } from '../../src/time/machine.js';
import { runCli } from './fake-io.js';

let folder = '';
const at = (name: string): string => join(folder, name);
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-calibrate-'));
  writeFileSync(at('mill.json'), JSON.stringify({ ...PLACEHOLDER_MACHINE, name: 'mill 3' }));
  // Invented jobs: ratios 1.0, 1.1, 1.2, 1.3, 2.0, so the median is 1.2; type 7 percentiles of five values:
  // the 10th is 1.0 + 0.4 x 0.1 = 1.04, the 90th 1.3 + 0.6 x 0.7 = 1.72.
  writeFileSync(at('jobs.csv'), 'predicted,actual\n10,10\n20,22\n50,60\n100,130\n7,14\n');
});
afterEach(() => rmSync(folder, { recursive: true }));

test('prints factor and spread, and writes a machine file that differs in nothing else', async () => {
  const { code, out } = await runCli([
    'calibrate',
    at('jobs.csv'),
    '--machine',
    at('mill.json'),
    '--write',
    at('new.json'),
  ]);
  expect(code).toBe(0);
  expect(out).toContain('Time factor 1.2, the median of 5 jobs (the machine file has 1)');
  expect(out).toContain('Spread -13 % to +43 %');
  expect(out).toContain('Only 5 jobs');
  const { timeFactor, timeSpread, ...rest } = JSON.parse(readFileSync(at('new.json'), 'utf8'));
  expect(timeFactor).toBeCloseTo(1.2, 11);
  expect(timeSpread.low).toBeCloseTo(1.04 / 1.2, 11);
  expect(timeSpread.high).toBeCloseTo(1.72 / 1.2, 11);
  const { timeFactor: _f, timeSpread: _s, ...given } = { ...PLACEHOLDER_MACHINE, name: 'mill 3' };
  expect(rest).toEqual(given);
});

test('writes nothing unless asked, and over nothing unless forced', async () => {
  const asked = ['calibrate', at('jobs.csv'), '--machine', at('mill.json')];
  expect((await runCli(asked)).out).toContain('Nothing written');
  const before = readFileSync(at('mill.json'), 'utf8');
  const refused = await runCli([...asked, '--write', at('mill.json')]);
  expect(refused.code).toBe(2);
  expect(refused.err).toMatch(/mill\.json: there is such a file already; .*--force/);
  expect(readFileSync(at('mill.json'), 'utf8')).toBe(before);
  expect((await runCli([...asked, '--write', at('mill.json'), '--force', '--json'])).out).toMatch(
    /^\{\s+"timeFactor": 1\.2,/,
  );
  expect(JSON.parse(readFileSync(at('mill.json'), 'utf8')).timeFactor).toBeCloseTo(1.2, 11);
  expect((await runCli(asked)).out).toContain('must come from a time factor of 1');
});

test.each([
  ['no jobs', ['calibrate', '--machine', 'mill.json'], /no jobs file given/],
  ['no machine', ['calibrate', 'jobs.csv'], /--machine/],
])('%s: one line and exit code 2', async (_, argv, message) => {
  const { code, err } = await runCli(argv);
  expect(code).toBe(2);
  expect(err).toMatch(message);
  expect(err.trimEnd().split('\n')).toHaveLength(1);
});

test('too few jobs: exit code 3, naming the file', async () => {
  writeFileSync(at('few.csv'), 'predicted,actual\n10,12\n');
  const { code, err } = await runCli(['calibrate', at('few.csv'), '--machine', at('mill.json')]);
  expect(code).toBe(3);
  expect(err).toContain('few.csv');
});

test('a factor that no machine file may hold is not written: exit code 3', async () => {
  writeFileSync(at('far.csv'), 'predicted,actual\n1,300\n1,300\n1,300\n');
  const asked = ['calibrate', at('far.csv'), '--machine', at('mill.json'), '--write', at('far.json')];
  const { code, err } = await runCli(asked);
  expect(code).toBe(3);
  expect(err).toMatch(/^scarp: [^\n]*far\.csv[^\n]*timeFactor: 300 found, at most 20 expected[^\n]*\n$/);
  expect(existsSync(at('far.json'))).toBe(false);
});

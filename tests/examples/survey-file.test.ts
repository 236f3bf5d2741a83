import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { boxPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import { surveyFile } from './survey-file.js';

const cutters = {
  version: 1 as const,
  cutters: [{ id: 'B6', DC: 6, RE: 3, APMX: 6, LU: 40, NOF: 2 }],
};

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-example-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

test('a box pocket: its floor is level, and the plan on the disk is the plan returned', async () => {
  const path = join(folder, 'pocket.stl');
  writeFileSync(path, binaryStl(boxPocket({ width: 12, length: 10, depth: 4, land: 3 })));
  const plan = await surveyFile(path, join(folder, 'out'), { unit: 'mm', cutters });
  if (typeof plan === 'string') throw new Error(plan);
  // The floor, and the land 3 wide round it: all of the block in plan.
  expect(plan.classes.level.areaMm2 / ((12 + 6) * (10 + 6))).toBeCloseTo(1, 6);
  expect(readdirSync(join(folder, 'out'))).toContain('report.html');
  const written = JSON.parse(readFileSync(join(folder, 'out', 'plan.json'), 'utf8'));
  expect(written.time.totalMinutes / plan.time.totalMinutes).toBeCloseTo(1, 9);
});

test('what is no part: one line that says so', async () => {
  const path = join(folder, 'empty.stl');
  writeFileSync(path, '');
  expect(await surveyFile(path, join(folder, 'none'), {})).toMatch(/^empty\.stl: [^\n]+; [^\n]+$/);
  expect(readdirSync(folder)).not.toContain('none');
});

// As an installed package is resolved: by the names in package.json.
test.each([
  ['scarp', 'surveyPart'],
  ['scarp/node', 'reachPool'],
])('%s gives %s to a program of its own', (name, what) => {
  const script = `import { ${what} } from '${name}'; process.stdout.write(typeof ${what});`;
  const { stdout } = spawnSync(process.execPath, ['--input-type=module', '-e', script], {
    cwd: new URL('../..', import.meta.url),
    encoding: 'utf8',
  });
  expect(stdout).toBe('function');
});

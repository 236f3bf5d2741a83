import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { optionRow, OTHER_KEYS, PLACEMENT_KEYS } from '../../src/options.js';
import { runCli } from './fake-io.js';

const FLAGS = [...PLACEMENT_KEYS, ...OTHER_KEYS].map((key) => optionRow(key).flag.split(' ')[0]);
let folder = '';
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-completion-'));
  writeFileSync(join(folder, 'scarp.bash'), (await runCli(['completion', 'bash'])).out);
});
afterAll(() => rmSync(folder, { recursive: true }));

/** What bash itself offers for a line, as if its completion key were pressed at the end. */
function offered(...words: string[]): string[] {
  const list = words.map((word) => `'${word}'`).join(' ');
  const script =
    `compopt() { :; }; source ./scarp.bash; COMP_WORDS=(scarp ${list}); COMP_CWORD=${words.length}; _scarp; ` +
    `printf '%s\\n' "\${COMPREPLY[@]}"`;
  return execFileSync('bash', ['-c', script], { cwd: folder, encoding: 'utf8' })
    .split('\n')
    .filter((word) => word !== '');
}

test('bash offers the commands, then the options of one, then what may follow an option', () => {
  expect(offered('')).toEqual(expect.arrayContaining(['survey', 'check', 'page', 'calibrate', 'completion']));
  expect(offered('su')).toEqual(['survey']);
  expect(offered('survey', 'part.stl', '--')).toEqual(
    expect.arrayContaining([...new Set(FLAGS), '--setup', '--json']),
  );
  expect(offered('check', '--sc')).toEqual([]);
  expect(offered('survey', '--sca')).toEqual(['--scallop']);
  expect(offered('survey', '--unit', '')).toEqual(
    expect.arrayContaining([...(optionRow('unit').choices ?? [])]),
  );
  expect(offered('survey', '--axis', '+').sort()).toEqual(['+x', '+y', '+z']);
  expect(offered('survey', '--split', '')).toEqual(['auto']);
  expect(offered('completion', 'z')).toEqual(['zsh']);
  // Numbers are typed, and files come from the shell itself.
  expect(offered('survey', '--tolerance', '')).toEqual([]);
  expect(offered('survey', '--setup', '')).toEqual([]);
});

test.each([
  ['zsh', (flag: string) => `'${flag}[`],
  ['fish', (flag: string) => ` -l ${flag.slice(2)}`],
] as const)('%s: every option of the table, quotes in order', async (shell, told) => {
  const { code, out } = await runCli(['completion', shell]);
  expect(code).toBe(0);
  for (const flag of FLAGS) expect(out).toContain(told(flag));
  for (const line of out.split('\n'))
    expect((line.replaceAll("'\\''", '').match(/'/g) ?? []).length % 2, line).toBe(0);
});

test('another shell is a usage error that names the three', async () => {
  const { code, err, out } = await runCli(['completion', 'tcsh']);
  expect([code, out]).toEqual([2, '']);
  expect(err).toMatch(/bash, zsh, fish/);
});

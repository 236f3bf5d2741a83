import { spawn, spawnSync } from 'node:child_process';
import {
  cpSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmdirSync,
  rmSync,
  watch,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { EXIT } from '../../src/cli/io.js';
import { FINISHING_ALONE } from '../support/pipeline.js';
import { box } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

// The built program, stopped by the system: what is there before must stay, whole.
const BIN = new URL('../../dist/cli/main.js', import.meta.url).pathname;
const SURVEY = [BIN, 'survey', 'part.stl', '--setup', 'setup.json', '--out', 'out', '--quiet'];
const SETUP = {
  ...FINISHING_ALONE,
  radiiMm: [2],
  cutters: { version: 1, cutters: [{ id: 'B4', DC: 4, RE: 2, APMX: 4, LU: 30, NOF: 2 }] },
};

let folder = '';
let tookMs = 0;
type Files = ReadonlyMap<string, string>;
let before: Files, after: Files;

const at = (...names: string[]): string => join(folder, ...names);
const filesOf = (name: string): Files =>
  new Map(readdirSync(at(name)).map((file) => [file, readFileSync(at(name, file)).toString('base64')]));
/** What runs leave beside their result. */
const beside = (): string[] => readdirSync(folder).filter((name) => /part-|\.part$/.test(name));
const tried = (): string[] => readdirSync(at('out')).filter((name) => name.startsWith('.scarp-try-'));
const run = (argv: readonly string[], kilobytes = 'unlimited') =>
  // No file may become larger: the system says so in writing, as it does of a full disk.
  spawnSync('bash', ['-c', `ulimit -f ${kilobytes}; exec "$0" "$@"`, process.execPath, ...argv], {
    cwd: folder,
    encoding: 'utf8',
  });

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-stop-'));
  writeFileSync(at('setup.json'), JSON.stringify(SETUP));
  writeFileSync(at('part.stl'), binaryStl(box(30, 20, 10)));
  expect(run(SURVEY).status).toBe(EXIT.done);
  before = filesOf('out');
  cpSync(at('out'), at('kept'), { recursive: true });
  writeFileSync(at('part.stl'), binaryStl(box(12, 16, 9)));
  const from = performance.now();
  expect(run(SURVEY).status).toBe(EXIT.done);
  tookMs = performance.now() - from;
  after = filesOf('out');
  expect([...after.keys()]).toEqual([...before.keys()]);
  expect(after).not.toEqual(before);
}, 120_000);
afterAll(() => rmSync(folder, { recursive: true }));

/** The earlier result again. */
function restore(): void {
  rmSync(at('out'), { recursive: true });
  cpSync(at('kept'), at('out'), { recursive: true });
}

async function killed(
  signal: NodeJS.Signals,
  when: (kill: () => void) => () => void,
): Promise<number | null> {
  const child = spawn(process.execPath, SURVEY, { cwd: folder });
  const ended = new Promise<number | null>((resolve) => child.on('exit', resolve));
  const stop = when(() => child.kill(signal));
  const code = await ended;
  stop();
  return code;
}
const afterShare = (share: number) => (kill: () => void) => {
  const timer = setTimeout(kill, share * tookMs);
  return () => clearTimeout(timer);
};
/** As soon as files are written beside the goal. */
const whileWriting = (kill: () => void) => {
  const watcher = watch(folder, (_, name) => {
    if (!name?.includes('part-')) return;
    // A second signal would end it at once.
    watcher.close();
    kill();
  });
  return () => watcher.close();
};

const MOMENTS = [
  ['SIGKILL', 'at the start', afterShare(0.15)],
  ['SIGKILL', 'in the middle', afterShare(0.6)],
  ['SIGKILL', 'while files are written', whileWriting],
  ['SIGTERM', 'in the middle', afterShare(0.6)],
  ['SIGTERM', 'while files are written', whileWriting],
  ['SIGINT', 'while files are written', whileWriting],
] as const;

test.each(MOMENTS)('%s %s: the earlier result is whole, or the new one', async (signal, _, when) => {
  restore();
  const code = await killed(signal, when);
  // Killed in the moment in which it looks whether it can write, it leaves an empty directory; a later run sweeps it.
  if (signal === 'SIGKILL') for (const name of tried()) rmdirSync(at('out', name));
  const found = filesOf('out');
  // Killed in the milliseconds in which files are moved, it leaves some of both, each whole, and a mark of that.
  const isBetween = signal === 'SIGKILL' && found.has('.scarp-writing');
  if (isBetween) {
    for (const [name, bytes] of found)
      if (name !== '.scarp-writing') expect([before.get(name), after.get(name)]).toContain(bytes);
  } else {
    // All was written before the signal came.
    const isDone = code === EXIT.done || [...found].every(([name, bytes]) => after.get(name) === bytes);
    expect(found).toEqual(isDone ? after : before);
    if (signal !== 'SIGKILL' && !isDone) expect(code).toBe(EXIT.interrupted);
  }
  if (signal === 'SIGKILL') for (const name of beside()) rmSync(at(name), { recursive: true });
  expect(beside()).toEqual([]);
});

/** Has files of the earlier result open, and its folder as its own, until its input ends; then tells what it finds. */
const HOLDER = `
  const fs = require('node:fs');
  const [read, write] = [fs.openSync('plan.json', 'r'), fs.openSync('zones.csv', 'r+')];
  console.log('open');
  process.stdin.resume().on('end', () => {
    fs.writeSync(write, 'late');
    console.log(JSON.stringify([fs.readFileSync(read, 'base64'), fs.readFileSync('plan.json', 'base64')]));
  });`;

test('output open elsewhere: the new result is whole, the other goes on with what it has open', async () => {
  restore();
  const holder = spawn(process.execPath, ['-e', HOLDER], { cwd: at('out') });
  let said = '';
  holder.stdout.on('data', (piece) => {
    said += piece;
  });
  const ended = new Promise((resolve) => holder.on('close', resolve));
  await new Promise((resolve) => holder.stdout.once('data', resolve));
  const { status, stderr } = run(SURVEY);
  expect({ status, stderr }).toEqual({ status: EXIT.done, stderr: '' });
  holder.stdin.end();
  await ended;
  expect(JSON.parse(said.split('\n')[1])).toEqual([before.get('plan.json'), after.get('plan.json')]);
  expect(filesOf('out')).toEqual(after);
  expect(beside()).toEqual([]);
});

test.each([8, 64])(
  'a disk that takes %i kB a file: one line, and the earlier result as it was',
  (kilobytes) => {
    restore();
    const { status, stdout, stderr } = run(SURVEY, String(kilobytes));
    expect({ status, stdout }).toEqual({ status: EXIT.usage, stdout: '' });
    expect(stderr).toMatch(/^scarp: out: [^\n]*(too large|EFBIG)[^\n]*\n$/i);
    expect(filesOf('out')).toEqual(before);
    expect(beside()).toEqual([]);
  },
);

test.each([
  ['--out', 'check.html'],
  ['--fix', 'fixed.stl'],
])('check %s on such a disk: one line, no file', (option, name) => {
  const { status, stdout, stderr } = run([BIN, 'check', 'part.stl', option, name], '0');
  expect({ status, stdout }).toEqual({ status: EXIT.usage, stdout: '' });
  expect(stderr).toMatch(new RegExp(`^scarp: ${name}: [^\\n]*\\n$`));
  expect(readdirSync(folder).filter((one) => one.startsWith(name))).toEqual([]);
});

import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { EXIT } from '../../src/cli/io.js';
import { VERSION } from '../../src/cli/version.js';
import { PartError } from '../../src/core/errors.js';
import { surveyPart } from '../../src/survey/survey.js';
import { threeMfFile } from '../support/formats.js';
import { box, moved } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import { fakeEngine, runCli } from './fake-io.js';

let folder = '';
let part = '';
let count = 0;
const newOut = (): string => join(folder, `out-${count++}`);

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-cli-'));
  part = join(folder, 'lid.stl');
  writeFileSync(part, 'solid\nendsolid\n');
});
afterAll(() => rmSync(folder, { recursive: true }));

test('without arguments: help, examples first', async () => {
  const { code, out, err } = await runCli(['--help']);
  expect({ code, err }).toEqual({ code: EXIT.done, err: '' });
  expect(out.startsWith('Examples:')).toBe(true);
  const bare = await runCli([]);
  expect(bare).toMatchObject({ code: EXIT.done, err: '' });
  expect(bare.out).toContain('survey');
});

test('options of survey beside those of the set-up stand in its help', async () => {
  const { out } = await runCli(['survey', '--help']);
  for (const name of ['setup', 'out', 'json', 'quiet', 'force', 'strict']) expect(out).toContain(`--${name}`);
});

test('the version is that of the package', async () => {
  const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
  expect(VERSION).toBe(version);
  expect((await runCli(['--version'])).out).toBe(`${version}\n`);
});

test('survey hands the part and the set-up over, writes the files and prints one page', async () => {
  const out = newOut();
  const result = await runCli([
    'survey',
    part,
    '--out',
    out,
    '--split',
    'auto',
    '--tolerance',
    '0.001in',
    '--axis',
    '-z',
  ]);
  expect(result).toMatchObject({ code: EXIT.done, err: '' });
  expect(result.asked).toMatchObject({ name: 'lid.stl', bytes: 15 });
  expect(result.asked?.setup).toMatchObject({
    splitDeg: 'auto',
    toleranceMm: 0.0254,
    axis: [0, 0, -1],
    stand: true,
  });
  expect(readdirSync(out).sort()).toEqual(['.scarp-files', 'part.glb', 'plan.json']);
  expect(readFileSync(join(out, 'part.glb'))).toEqual(Buffer.of(1, 2));
  expect(result.out).toContain('Cutters, in order of use');
  expect(result.out).toContain(out);
});

test('--json: stdout is the plan and nothing else', async () => {
  const { out, err, code } = await runCli(['survey', part, '--out', newOut(), '--json']);
  expect(JSON.parse(out)).toMatchObject({ version: 1, source: { name: 'lid, left.stl' } });
  expect({ err, code }).toEqual({ err: '', code: 0 });
});

test('--quiet: the path of the result and nothing else; of a check nothing', async () => {
  const out = newOut();
  expect(await runCli(['survey', part, '--out', out, '--quiet'])).toMatchObject({
    out: `${out}/\n`,
    err: '',
    code: 0,
  });
  expect(await runCli(['check', part, '--quiet'])).toMatchObject({ out: '', err: '', code: 0 });
});

test('-: the part comes from stdin', async () => {
  const readIn = async (): Promise<Uint8Array> => Uint8Array.of(1, 2, 3);
  const { asked, code } = await runCli(['check', '-'], { readIn });
  expect({ code, name: asked?.name, bytes: asked?.bytes }).toEqual({ code: 0, name: 'stdin', bytes: 3 });
});

test('check answers on stdout and writes nothing', async () => {
  const before = readdirSync(folder);
  const text = await runCli(['check', part, '--unit', 'in']);
  expect(text.out).toContain('Mesh: fit, with 1 warning');
  expect(text.asked?.setup.unit).toBe('in');
  expect((await runCli(['check', part, '--unit', 'auto'])).asked?.setup.unit).toBe('auto');
  const json = await runCli(['check', part, '--json']);
  expect(Object.keys(JSON.parse(json.out))).toEqual(['source', 'mesh', 'findings', 'places']);
  expect(readdirSync(folder)).toEqual(before);
});

test('check --out and --fix: write each its file, beside the answer', async () => {
  const [report, fixed] = [join(folder, 'check.html'), join(folder, 'fixed.STL')];
  const both = await runCli(['check', part, '--out', report, '--fix', fixed]);
  expect(both).toMatchObject({ code: 0, err: '' });
  expect(readFileSync(report, 'utf8')).toBe('<!doctype html>\n');
  expect(readFileSync(fixed)).toEqual(Buffer.of(1, 2, 3));
  expect(both.out).toContain(`Report: ${report}`);
  expect(both.out.replaceAll(/\s+/g, ' ')).toContain('1 small hole filled, 2 shells of dust left out');
  for (const option of [
    ['--out', report],
    ['--fix', fixed],
  ]) {
    const again = await runCli(['check', part, ...option]);
    expect(again).toMatchObject({ code: EXIT.usage, out: '', asked: null });
    expect(again.err).toBe(
      `scarp: ${option[1]}: there is such a file already; name another, or add --force to write over it\n`,
    );
    expect((await runCli(['check', part, ...option, '--force', '--json'])).code).toBe(0);
  }
  expect((await runCli(['check', part, '--fix', join(folder, 'fixed.obj')])).err).toContain(
    'a file *.stl expected',
  );
  rmSync(report);
  rmSync(fixed);
  expect(readdirSync(folder).filter((name) => name.endsWith('.part'))).toEqual([]);
});

const ERROR = { code: 'mesh.x', severity: 'error', message: 'Bad.', count: 1, whereMm: null } as const;

test('--strict: exit 4 for findings of severity error, only then', async () => {
  const argv = (name: string) => [name, part, ...(name === 'survey' ? ['--out', newOut()] : [])];
  for (const name of ['survey', 'check']) {
    expect((await runCli([...argv(name), '--strict'], {}, { findings: [ERROR] })).code).toBe(
      EXIT.strictFindings,
    );
    expect((await runCli(argv(name), {}, { findings: [ERROR] })).code).toBe(EXIT.done);
    expect((await runCli([...argv(name), '--strict'])).code).toBe(EXIT.done);
  }
});

test.each([
  [['survey', 'PART', '--splt', '40'], 'scarp: --splt: unknown option; did you mean --split?\n'],
  [['survey', 'PART', '--tolerence=1'], 'scarp: --tolerence=1: unknown option; did you mean --tolerance?\n'],
  [['surevy', 'PART'], 'scarp: surevy: unknown command; did you mean survey?\n'],
  [['help', 'surevy'], 'scarp: surevy: unknown command; did you mean survey?\n'],
  [['survey'], 'scarp: no part given; name an STL, 3MF, OBJ, PLY, GLB, glTF or STEP file\n'],
  [
    ['survey', 'PART', 'PART'],
    'scarp: more than one part given; name one, and put blanks in names between quotes\n',
  ],
  [['completion'], 'scarp: no shell given; name bash, zsh or fish\n'],
  [['completion', 'tcsh'], 'scarp: "tcsh" found, one of bash, zsh, fish expected; name one of them\n'],
  [['calibrate', 'PART'], 'scarp: --machine: not given, and there is no default; name it\n'],
  [['page', 'PART'], 'scarp: page: more words than it takes; see scarp page --help\n'],
  [['survey', 'PART', '--split'], 'scarp: --split: nothing follows it; give it a value\n'],
  [
    ['survey', 'PART', '--split', '95'],
    'scarp: --split: 95 found, at most 90 expected; correct the option\n',
  ],
  [
    ['survey', 'PART', '--split', '4x'],
    'scarp: --split: "4x" found, degrees such as 45, or auto expected; correct the option\n',
  ],
  [
    ['survey', 'PART', '--tolerance', '0'],
    'scarp: --tolerance: 0 found, more than 0 expected; correct the option\n',
  ],
  [
    ['survey', 'PART', '--tolerance', '6ft'],
    'scarp: --tolerance: "6ft" found, a length such as 3, 3mm or 0.125in expected; correct the option\n',
  ],
  [
    ['survey', 'PART', '--blend', '3 mm'],
    'scarp: --blend: "3 mm" found, a share such as 0.03, or 3% expected; correct the option\n',
  ],
  [
    ['survey', 'PART', '--axis', '0,0,0'],
    'scarp: --axis: [0,0,0] found, a direction such as 0,0,1 expected; correct the option\n',
  ],
  [
    ['survey', 'PART', '--axis', 'up'],
    'scarp: --axis: "up" found, +z, -z, +x, -x, +y, -y, auto or a direction such as 0,0,1 expected; correct the option\n',
  ],
  [
    ['check', 'PART', '--unit', 'ft'],
    'scarp: --unit: "ft" found, one of mm, cm, m, in, auto expected; correct the option\n',
  ],
  [
    ['survey', 'PART', '--radii', '1,,2'],
    'scarp: --radii: "" found, a length such as 3, 3mm or 0.125in expected; correct the option\n',
  ],
])('usage: %j', async (argv, message) => {
  const result = await runCli(argv.map((word) => (word === 'PART' ? part : word)));
  expect(result).toMatchObject({ code: EXIT.usage, err: message, out: '', asked: null });
});

test('a part that cannot be used: one line, exit 3, nothing written', async () => {
  const out = newOut();
  const broken = {
    ...fakeEngine(() => {}),
    survey: () =>
      Promise.reject(
        new PartError({
          code: 'read.truncated',
          where: 'lid.stl',
          what: 'two\nlines',
          remedy: 'export again',
        }),
      ),
  };
  const result = await runCli(['survey', part, '--out', out], { loadEngine: async () => broken });
  expect(result).toMatchObject({
    code: EXIT.unusablePart,
    err: 'scarp: lid.stl: two lines; export again\n',
    out: '',
  });
  expect(readdirSync(folder)).not.toContain(out.slice(folder.length + 1));
  expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([]);
});

test('missing, directory: exit 3', async () => {
  expect(await runCli(['check', join(folder, 'no.stl')])).toMatchObject({
    code: EXIT.unusablePart,
    err: `scarp: ${join(folder, 'no.stl')}: no such file; check the name and the folder\n`,
  });
  expect((await runCli(['survey', folder, '--out', newOut()])).err).toBe(
    `scarp: ${folder}: a directory, not a file; name a file in it\n`,
  );
});

test('a bug of ours: exit 1, says so, no stack unless asked', async () => {
  const engine = { ...fakeEngine(() => {}), check: () => Promise.reject(new RangeError('x is 3')) };
  const plain = await runCli(['check', part], { loadEngine: async () => engine });
  expect(plain.code).toBe(EXIT.ourFault);
  expect(plain.err).toMatch(/^scarp: internal error: x is 3; [^\n]*\n$/);
  const traced = await runCli(['check', part], { loadEngine: async () => engine, env: { SCARP_DEBUG: '1' } });
  expect(traced.err).toContain('run.test.ts');
});

test('interrupted: exit 130, nothing written', async () => {
  const controller = new AbortController();
  const engine = {
    ...fakeEngine(() => {}),
    survey: () => {
      controller.abort(new Error('interrupted'));
      return Promise.reject(controller.signal.reason);
    },
  };
  const out = newOut();
  const result = await runCli(['survey', part, '--out', out], {
    loadEngine: async () => engine,
    signal: controller.signal,
  });
  expect(result.code).toBe(EXIT.interrupted);
  expect(readdirSync(folder)).not.toContain(out.slice(folder.length + 1));
});

test('a directory of others is left alone without --force, before any work', async () => {
  const other = mkdtempSync(join(folder, 'other-'));
  writeFileSync(join(other, 'notes.txt'), 'mine');
  const refused = await runCli(['survey', part, '--out', other]);
  expect(refused).toMatchObject({ code: EXIT.usage, asked: null });
  expect(refused.err).toContain('holds notes.txt, which scarp did not write');
  expect((await runCli(['survey', part, '--out', other, '--force'])).code).toBe(EXIT.done);
  expect(readFileSync(join(other, 'notes.txt'), 'utf8')).toBe('mine');
});

test('set-up file: options win, files in it are seen from its folder, a wrong one is named', async () => {
  const setup = join(folder, 'setup.json');
  const shop = join(folder, 'shop.json');
  writeFileSync(
    shop,
    JSON.stringify({ version: 1, cutters: [{ id: 'b4', DC: 4, RE: 2, APMX: 5, LU: 20, NOF: 2 }] }),
  );
  writeFileSync(setup, JSON.stringify({ splitDeg: 30, overlapDeg: 4, cutters: 'shop.json' }));
  const { asked } = await runCli(['survey', part, '--out', newOut(), '--setup', setup, '--split', '50']);
  expect(asked?.setup).toMatchObject({ splitDeg: 50, overlapDeg: 4, radiiMm: [2] });
  expect(asked?.setup.cutters.map((cutter) => cutter.id)).toEqual(['b4']);
  writeFileSync(
    shop,
    JSON.stringify({ version: 1, cutters: [{ id: 'b4', DC: 4, RE: 3, APMX: 5, LU: 20, NOF: 2 }] }),
  );
  expect(await runCli(['survey', part, '--setup', setup])).toMatchObject({
    code: EXIT.unusablePart,
    err: `scarp: ${shop}: cutter "b4": RE 3 is more than half of DC 4; a corner radius is at most DC/2\n`,
  });
  writeFileSync(setup, '{ "splitDeg": 30, }');
  expect((await runCli(['survey', part, '--setup', setup])).err).toContain(`scarp: ${setup}: no JSON (`);
});

test('--within: rings of an SVG drawing in mm, y up, or of one group of it; also from a set-up file', async () => {
  const svg = join(folder, 'areas.svg');
  writeFileSync(
    svg,
    '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 -10 20 10">' +
      '<g id="left"><rect x="0" y="-10" width="5" height="10"/></g><g id="right"><rect x="15" y="-4" width="5" height="4"/></g></svg>',
  );
  const extents = async (...argv: string[]) => {
    const { asked, err } = await runCli(['survey', part, '--out', newOut(), ...argv]);
    expect(err).toBe('');
    return asked?.setup.within?.map((ring) =>
      [0, 1].map((k) => {
        const values = ring.map((point) => point[k]);
        return [Math.min(...values), Math.max(...values)].map((value) => Math.round(value * 1e6) / 1e6);
      }),
    );
  };
  expect((await extents('--within', svg))?.sort((a, b) => a[0][0] - b[0][0])).toEqual([
    [
      [0, 5],
      [0, 10],
    ],
    [
      [15, 20],
      [0, 4],
    ],
  ]);
  expect(await extents('--within', `${svg}#right`)).toEqual([
    [
      [15, 20],
      [0, 4],
    ],
  ]);
  writeFileSync(join(folder, 'within.json'), '{"within": "areas.svg#left"}');
  expect(await extents('--setup', join(folder, 'within.json'))).toEqual([
    [
      [0, 5],
      [0, 10],
    ],
  ]);
  expect((await runCli(['survey', part, '--within', `${svg}#lefd`])).err).toContain('did you mean "left"?');
});

test('--block: box, cylinder, three lengths in any unit, or a mesh; also from a set-up file', async () => {
  const blank = join(folder, 'blank.stl');
  writeFileSync(blank, binaryStl(box(3, 2, 1)));
  const block = async (...argv: string[]) => {
    const { asked, err } = await runCli(['survey', part, '--out', newOut(), ...argv]);
    expect(err).toBe('');
    return asked?.setup.block;
  };
  expect(await block()).toBe('box');
  expect(await block('--block', 'cylinder')).toBe('cylinder');
  expect(await block('--block', 'box:120,80mm,2in')).toEqual([120, 80, 50.8]);
  const mesh = { name: 'blank.stl', cornersMm: [...box(3, 2, 1)] };
  expect(await block('--block', blank)).toEqual(mesh);
  writeFileSync(join(folder, 'blank.json'), '{"block": "blank.stl"}');
  expect(await block('--setup', join(folder, 'blank.json'))).toEqual(mesh);
  // A mesh that states no unit is in the part's, wherever that is given; one that states its own keeps it.
  const inches = { ...mesh, cornersMm: mesh.cornersMm.map((at) => at * 25.4) };
  expect(await block('--unit', 'in', '--block', blank)).toEqual(inches);
  expect(await block('--unit', 'in', '--setup', join(folder, 'blank.json'))).toEqual(inches);
  writeFileSync(join(folder, 'inch.json'), '{"unit": "in", "block": "blank.stl"}');
  expect(await block('--setup', join(folder, 'inch.json'))).toEqual(inches);
  expect(await block('--setup', join(folder, 'inch.json'), '--unit', 'mm')).toEqual(mesh);
  const stated = join(folder, 'blank.3mf');
  writeFileSync(stated, threeMfFile(box(3, 2, 1)));
  expect(await block('--unit', 'in', '--block', stated)).toEqual({ ...mesh, name: 'blank.3mf' });
  writeFileSync(join(folder, 'sizes.json'), '{"block": [12, 8, 4]}');
  expect(await block('--setup', join(folder, 'sizes.json'))).toEqual([12, 8, 4]);
});

test.each([
  ['box:120,80', '--block: "box:120,80" found, three lengths such as box:120,80,40 expected'],
  ['box:120,0,40', '--block: "box:120,0,40" found, three lengths'],
  ['box:120,80,40,2', '--block: "box:120,80,40,2" found, three lengths'],
  ['none.stl', 'none.stl: '],
  ['empty.stl', 'empty.stl: '],
  ['text.stl', 'text.stl: '],
])('--block %s that cannot be used: one line, nothing written', async (given, said) => {
  writeFileSync(join(folder, 'empty.stl'), '');
  writeFileSync(join(folder, 'text.stl'), 'no mesh at all');
  const out = newOut();
  const isFile = given.endsWith('.stl'),
    value = isFile ? join(folder, given) : given;
  const { code, err, asked } = await runCli(['survey', part, '--out', out, '--block', value]);
  expect({ code, asked }).toEqual({ code: isFile ? EXIT.unusablePart : EXIT.usage, asked: null });
  expect(err).toMatch(/^scarp: [^\n]+\n$/);
  expect(err).toContain(said);
  expect(existsSync(out)).toBe(false);
});

test.each([
  ['a box smaller than the part', EXIT.unusablePart, ['--block', 'box:10,10,10']],
  ['a mesh that the part stands out of', EXIT.unusablePart, ['--block', 'beside.stl']],
  ['a cutter that may not rough', EXIT.usage, ['--rough', 'ball-4']],
])('%s: one line, nothing written', async (_, expected, flags) => {
  const plate = join(folder, 'plate.stl');
  writeFileSync(plate, binaryStl(box(20, 20, 6)));
  writeFileSync(join(folder, 'beside.stl'), binaryStl(moved(box(30, 30, 9), [25, 0, 0])));
  const out = newOut();
  const argv = flags.map((flag) => (flag.endsWith('.stl') ? join(folder, flag) : flag));
  const { code, err } = await runCli(['survey', plate, '--unit', 'mm', '--out', out, ...argv], {
    loadEngine: async () => ({
      ...fakeEngine(() => {}),
      survey: (part, ...rest) => surveyPart(part as Uint8Array, ...rest),
    }),
  });
  expect(code).toBe(expected);
  expect(err).toMatch(/^scarp: [^\n]+\n$/);
  expect(existsSync(out)).toBe(false);
});

test('progress only on a terminal, not with --quiet, --json or in CI', async () => {
  let clockNow = 0;
  const realNow = performance.now.bind(performance);
  performance.now = () => (clockNow += 1000);
  const seen = async (argv: string[], change: Parameters<typeof runCli>[1]) =>
    (await runCli(['survey', part, '--out', newOut(), ...argv], change)).err;
  try {
    expect(await seen([], { errIsTerminal: true })).toContain('reach 50 %');
    expect(await seen([], { errIsTerminal: false })).toBe('');
    expect(await seen(['--quiet'], { errIsTerminal: true })).toBe('');
    expect(await seen(['--json'], { errIsTerminal: true })).toBe('');
    expect(await seen([], { errIsTerminal: true, env: { CI: 'true' } })).toBe('');
  } finally {
    performance.now = realNow;
  }
});

test('who reads along at a terminal is told what is final before the rest; the page is the same in the end', async () => {
  const told: string[] = [];
  const change = { env: { NO_COLOR: '1' } },
    reading = { ...change, outIsTerminal: true, out: (text: string) => void told.push(text) };
  const out = newOut();
  const whole = await runCli(['survey', part, '--out', out], change);
  expect((await runCli(['survey', part, '--out', out], reading)).code).toBe(EXIT.done);
  expect(told.map((text) => /^(Surface|Time|Files)$/m.exec(text)?.[0])).toEqual(['Surface', 'Time', 'Files']);
  expect(told.join('')).toBe(whole.out);
  told.length = 0;
  for (const flag of ['--json', '--quiet']) await runCli(['survey', part, '--out', out, flag], reading);
  expect(told).toHaveLength(2);
});

test('colour only on a terminal, NO_COLOR wins over FORCE_COLOR', async () => {
  const coloured = async (change: Parameters<typeof runCli>[1]) =>
    (await runCli(['check', part], change)).out.includes('\u001b[');
  expect(await coloured({ outIsTerminal: true })).toBe(true);
  expect(await coloured({ outIsTerminal: false })).toBe(false);
  expect(await coloured({ outIsTerminal: true, env: { NO_COLOR: '1' } })).toBe(false);
  expect(await coloured({ outIsTerminal: false, env: { FORCE_COLOR: '1' } })).toBe(true);
  expect(await coloured({ outIsTerminal: true, env: { FORCE_COLOR: '1', NO_COLOR: '1' } })).toBe(false);
});

test('what a terminal obeys does not reach it, from names or from what was typed', async () => {
  const evil = 'x\u001b]0;owned\u0007\u202e.stl';
  const runs = [
    await runCli(['survey', evil]),
    await runCli(['survey', part, `--${evil}`]),
    await runCli(['survey', part, '--out', join(newOut(), evil)]),
  ];
  expect(runs.map(({ code }) => code)).toEqual([3, 2, 0]);
  for (const { out, err } of runs) {
    expect(out + err).toContain('owned');
    expect(out + err).not.toMatch(/[^\P{Cc}\n]|\u202e/u);
  }
});

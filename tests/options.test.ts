import { Command } from 'commander';
import { expect, test } from 'vitest';
import { setupFromFlags } from '../src/cli/setup-from-flags.js';
import {
  flagName,
  withPlacementOptions,
  withSetupOptions,
  type SetupFlags,
} from '../src/cli/setup-options.js';
import {
  blockTyped,
  OPTIONS,
  optionRow,
  OTHER_KEYS,
  PLACEMENT_KEYS,
  type OptionKey,
} from '../src/options.js';
import { setupFormHtml } from '../src/page/app/setup-form.js';
import { setupFileSchema, setupJsonSchema, SETUP_DEFAULTS } from '../src/resolve-setup.js';
import { machineSchema } from '../src/time/machine.js';
import { runCli } from './cli/fake-io.js';

const KEYS = Object.keys(OPTIONS) as OptionKey[];

const setupOf = (...args: string[]) =>
  setupFromFlags(
    withSetupOptions(withPlacementOptions(new Command()))
      .exitOverride()
      .parse(args, { from: 'user' })
      .opts<SetupFlags>(),
  );

test('every option is asked for once, has its place in the set-up and in its schemas', () => {
  expect([...PLACEMENT_KEYS, ...OTHER_KEYS].sort()).toEqual([...KEYS].sort());
  expect(Object.keys(SETUP_DEFAULTS).sort()).toEqual([...KEYS].sort());
  expect(Object.keys(setupFileSchema.shape)).toEqual(['$schema', ...KEYS]);
  expect(Object.keys(setupJsonSchema().properties ?? {})).toEqual(['$schema', ...KEYS]);
});

test('every option stands in the help of survey, a shared flag once', async () => {
  const { out } = await runCli(['survey', '--help']);
  const listed = out.match(/^ {2}--[a-z-]+/gm)?.map((flag) => flag.trim()) ?? [];
  expect(new Set(listed).size).toBe(listed.length);
  expect(listed).toEqual(expect.arrayContaining(KEYS.map((key) => flagName(optionRow(key)))));
});

test('every option with a label, but what files of their own hold, and every figure of a machine is a field of the page', () => {
  const html = setupFormHtml();
  const fields = KEYS.filter(
    (key) => key === 'block' || (optionRow(key).label !== undefined && optionRow(key).kind !== 'file'),
  );
  // All that a machine file may hold, but what tells of the file, and the spread that calibration writes.
  const machine = Object.keys(machineSchema.shape).filter(
    (key) => !['$schema', 'version', 'placeholder', 'timeSpread'].includes(key),
  );
  const names = [...html.matchAll(/ name="([^"]+)"/g)].map(([, name]) => name);
  expect(names.sort()).toEqual([...fields, ...machine.map((key) => `machine-${key}`)].sort());
  for (const key of fields) expect(html).toContain(optionRow(key).label);
});

// What people type, one of each kind, and what the set-up then holds.
test.each<[string, OptionKey, unknown]>([
  ['--unit=IN', 'unit', 'in'],
  ['--no-stand', 'stand', false],
  ['--axis=-Y', 'axis', [0, -1, 0]],
  ['--split=auto', 'splitDeg', 'auto'],
  ['--raster-direction=-30', 'rasterDirectionDeg', -30],
  ['--tolerance=0.001in', 'toleranceMm', 0.0254],
  ['--noise=0.001cm', 'noiseMm', 0.01],
  ['--noise=auto', 'noiseMm', 'auto'],
  ['--radii=3,0.1in', 'radiiMm', [2.54, 3]],
  ['--material=h', 'material', 'H'],
  ['--ladder=largest-first', 'ladderRule', 'largest-first'],
  ['--crease=20', 'creaseDeg', 20],
  ['--blend=5%', 'blendShare', 0.05],
  ['--least-ring=0.01', 'leastRingShare', 0.01],
  ['--max-ld=12', 'mostLengthToDiameter', 12],
  ['--part-date=2024-02-29', 'partDate', '2024-02-29'],
  ['--include-outside', 'includeOutside', true],
  ['--overlap=5', 'overlapDeg', 5],
  ['--overlap=2mm', 'overlapMm', 2],
  ['--overlap=2mm', 'overlapDeg', 0],
])('%s: %s is %j, all else as without it', async (typed, key, value) => {
  const setup = await setupOf(typed);
  const others = { ...SETUP_DEFAULTS, [key]: value };
  if (typed === '--overlap=2mm') Object.assign(others, { overlapDeg: 0, overlapMm: 2 });
  expect(setup).toEqual(others);
});

test.each([
  ['box', 'box'],
  ['Cylinder', 'cylinder'],
  ['box:120,80mm,2in', [120, 80, 50.8]],
  ['box:120,5; 80; 40', [120.5, 80, 40]],
  ['box:120,80', { unread: 'box:120,80' }],
  ['box:120;0;40', { unread: 'box:120;0;40' }],
  ['block.stl', null],
])('a block typed as %s', (text, block) => {
  expect(blockTyped(text)).toEqual(block);
});

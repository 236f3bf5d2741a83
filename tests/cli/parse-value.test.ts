import { Command } from 'commander';
import { expect, test } from 'vitest';
import { setupFromFlags } from '../../src/cli/setup-from-flags.js';
import { withSetupOptions, type SetupFlags } from '../../src/cli/setup-options.js';
import { PartError } from '../../src/core/errors.js';
import { shareOfOne } from '../../src/core/units.js';

test.each([
  ['0.03', 0.03],
  ['5%', 0.05],
  ['0', 0],
  ['2.5%', 0.025],
])('%s is a share of %d', (text, share) => {
  expect(shareOfOne(text)).toBeCloseTo(share, 15);
});

test.each(['', '%', '3mm', '3 %', '1e1', 'three', '3%%'])('"%s" is no share', (text) => {
  expect(shareOfOne(text)).toBeNaN();
});

const flagsOf = (...args: string[]): SetupFlags =>
  withSetupOptions(new Command()).exitOverride().parse(args, { from: 'user' }).opts<SetupFlags>();

test('--blend is the share of the set-up file, or a percentage with its sign; 3 % without it', async () => {
  expect((await setupFromFlags(flagsOf('--blend', '0.05'))).blendShare).toBe(0.05);
  expect((await setupFromFlags(flagsOf('--blend', '5%'))).blendShare).toBeCloseTo(0.05, 15);
  expect((await setupFromFlags(flagsOf('--first-share', '80%'))).firstCutterShare).toBeCloseTo(0.8, 15);
  expect((await setupFromFlags(flagsOf())).blendShare).toBe(0.03);
});

test.each(['60%', '5'])("a blend of %s, more than half, is refused by the option's name", async (typed) => {
  const error = await setupFromFlags(flagsOf('--blend', typed)).catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(PartError);
  expect((error as PartError).info.where).toBe('--blend');
});

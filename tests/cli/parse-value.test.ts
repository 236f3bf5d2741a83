import { Command, InvalidArgumentError } from 'commander';
import { expect, test } from 'vitest';
import { parsePercent } from '../../src/cli/parse-value.js';
import { setupFromFlags } from '../../src/cli/setup-from-flags.js';
import { withSetupOptions, type SetupFlags } from '../../src/cli/setup-options.js';
import { PartError } from '../../src/core/errors.js';

test.each([
  ['3', 0.03],
  ['5%', 0.05],
  ['0', 0],
  ['2.5', 0.025],
])('%s is a share of %d', (text, share) => {
  expect(parsePercent(text)).toBeCloseTo(share, 15);
});

test.each(['', '%', '3mm', '3 %', '1e1', 'three', '3%%'])('"%s" is no percentage', (text) => {
  expect(() => parsePercent(text)).toThrow(InvalidArgumentError);
});

const flagsOf = (...args: string[]): SetupFlags =>
  withSetupOptions(new Command()).exitOverride().parse(args, { from: 'user' }).opts<SetupFlags>();

test('--blend sets the share by which the cutter before is taken larger; 3 % without it', async () => {
  expect((await setupFromFlags(flagsOf('--blend', '5'))).blendShare).toBeCloseTo(0.05, 15);
  expect((await setupFromFlags(flagsOf())).blendShare).toBe(0.03);
});

test("a blend of more than half is refused by the option's name", async () => {
  const error = await setupFromFlags(flagsOf('--blend', '60')).catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(PartError);
  expect((error as PartError).info.where).toBe('--blend');
});

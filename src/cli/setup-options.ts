import { Option, type Command } from 'commander';
import { optionRow, OTHER_KEYS, PLACEMENT_KEYS, type OptionKey, type OptionRow } from '../options.js';
import { parseOption, parseOverlap } from './parse-value.js';

/**
 * Options as commander hands them over, by the flag's own name; absent where the user gave none. What follows a
 * flag of the set-up comes as an object of the keys that it sets.
 */
export type SetupFlags = Readonly<Record<string, unknown>>;

/** `--no-stand` and `--run-out <mm>` are `--no-stand` and `--run-out`. */
export const flagName = ({ flag }: OptionRow): string => flag.split(' ')[0];
/** Under which name commander hands over what follows a flag. */
export const flagKey = (row: OptionRow): string => new Option(row.flag).attributeName();

/** Unit and axis: how any command reads a part. */
export function withPlacementOptions(command: Command): Command {
  return withOptions(command, PLACEMENT_KEYS);
}

/** Every other option of the set-up. Lengths take a unit: 3mm, 0.125in. */
export function withSetupOptions(command: Command): Command {
  command.option('--setup <file>', 'JSON file with any of these options; an option given here wins');
  return withOptions(command, OTHER_KEYS);
}

function withOptions(command: Command, keys: readonly OptionKey[]): Command {
  const names = keys.map((key) => flagName(optionRow(key)));
  // A flag that stands for two keys is told by the first.
  for (const key of keys.filter((_, i) => names.indexOf(names[i]) === i)) {
    const row = optionRow(key),
      option = new Option(row.flag, helpOf(row));
    command.addOption(row.kind === 'switch' ? option : option.argParser((text) => keysSet(key, row, text)));
  }
  return command;
}

function helpOf(row: OptionRow & { readonly default?: unknown }): string {
  const { default: value } = row;
  const isTold = value !== undefined && value !== null && typeof value !== 'boolean';
  const text = row.defaultText ?? (isTold ? String(value) : null);
  return (row.help ?? row.about) + (text === null ? '' : ` (default: ${text})`);
}

/** The keys of the set-up that the text after a flag sets. */
function keysSet(key: OptionKey, row: OptionRow, text: string): object {
  return row.reads === 'overlap' ? parseOverlap(text) : { [key]: parseOption(row, text) };
}

import type { Command } from 'commander';

export interface CommonFlags {
  json?: boolean;
  quiet?: boolean;
  strict?: boolean;
}

/** What every command that reads a part understands. */
export function withCommonOptions(command: Command, jsonHelp: string): Command {
  return command
    .option('--json', jsonHelp)
    .option('--quiet', 'nothing but errors; of a survey also where its report is')
    .option('--strict', 'exit with 4 if a finding is an error');
}

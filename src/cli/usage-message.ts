import type { Command, CommanderError } from 'commander';
import { nearestWord } from '../core/nearest.js';

/** One line, what, where and what to do, for a command line that cannot be understood. */
export function usageMessage(error: CommanderError, program: Command): string {
  const text = error.message.replace(/^error: /, '').split('\n')[0];
  const quoted = /'([^']*)'/.exec(text)?.[1] ?? '';
  switch (error.code) {
    case 'commander.unknownOption':
      return `${quoted}: unknown option; ${hint(quoted, optionsOf(program))}`;
    case 'commander.unknownCommand':
      return unknownCommand(quoted, program);
    // Help of a command that there is not: the library's message says nothing of it.
    case 'commander.help':
      return unknownCommand(program.args[1] ?? '', program);
    case 'commander.missingArgument':
      return quoted === 'jobs'
        ? 'no jobs file given; name a CSV file with columns predicted and actual'
        : 'no part given; name an STL, 3MF, OBJ, PLY, GLB, glTF or STEP file';
    case 'commander.optionMissingArgument':
      return `${quoted.split(' ')[0]}: nothing follows it; give it a value`;
    case 'commander.invalidArgument': {
      const reason = text.slice(text.indexOf(' is invalid. ') + ' is invalid. '.length);
      return `${quoted.split(' ')[0]}: ${reason}; correct the option`;
    }
    case 'commander.excessArguments':
      return 'more than one part given; name one, and put blanks in names between quotes';
    default:
      return `${text}; see scarp --help`;
  }
}

const unknownCommand = (name: string, { commands }: Command): string =>
  `${name}: unknown command; ${hint(
    name,
    commands.map((command) => command.name()),
  )}`;

function optionsOf(program: Command): string[] {
  const all = [program, ...program.commands].flatMap((command) =>
    command.options.map((option) => option.long ?? ''),
  );
  return [...new Set(['--help', ...all])].filter((name) => name !== '');
}

function hint(word: string, known: readonly string[]): string {
  const nearest = nearestWord(word.split('=')[0], known);
  return nearest === null ? 'see scarp --help' : `did you mean ${nearest}?`;
}

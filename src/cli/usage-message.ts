import type { Command, CommanderError } from 'commander';
import { nearestWord } from '../core/nearest.js';

/** By the argument that is missing. */
const MISSING: Readonly<Record<string, string>> = {
  part: 'no part given; name an STL, 3MF, OBJ, PLY, GLB, glTF or STEP file',
  jobs: 'no jobs file given; name a CSV file with columns predicted and actual',
  shell: 'no shell given; name bash, zsh or fish',
};

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
      return MISSING[quoted] ?? `${quoted}: not given; see scarp --help`;
    case 'commander.missingMandatoryOptionValue':
      return `${quoted.split(' ')[0]}: not given, and there is no default; name it`;
    case 'commander.optionMissingArgument':
      return `${quoted.split(' ')[0]}: nothing follows it; give it a value`;
    case 'commander.invalidArgument': {
      const [, word, choices] =
        /value '(.*)' is invalid for argument .*Allowed choices are (.*)\.$/.exec(text) ?? [];
      if (choices !== undefined) return `"${word}" found, one of ${choices} expected; name one of them`;
      const reason = text.slice(text.indexOf(' is invalid. ') + ' is invalid. '.length);
      return `${quoted.split(' ')[0]}: ${reason}; correct the option`;
    }
    case 'commander.excessArguments':
      return quoted === 'survey' || quoted === 'check'
        ? 'more than one part given; name one, and put blanks in names between quotes'
        : `${quoted}: more words than it takes; see scarp ${quoted} --help`;
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

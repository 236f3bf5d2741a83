import type { Command, Option } from 'commander';
import { AXIS_WORDS, optionRow, OTHER_KEYS, PLACEMENT_KEYS, type OptionRow } from '../options.js';
import { flagName } from './setup-options.js';

export const SHELLS = ['bash', 'zsh', 'fish'] as const;
export type Shell = (typeof SHELLS)[number];

/** What may follow a flag: words to choose from, a file, something typed; null: nothing. */
type Values = readonly string[] | 'file' | 'typed' | null;

interface Flag {
  /** `-h`, `--help` */
  readonly names: readonly string[];
  readonly about: string;
  readonly values: Values;
}

interface Known {
  readonly name: string;
  readonly about: string;
  readonly flags: readonly Flag[];
  /** whether a file may stand for an argument, or the words that may */
  readonly argument: Values;
}

/** A script that completes the command lines of a program in a shell. */
export function completionScript(shell: Shell, program: Command): string {
  const known = program.commands.map(knownOf);
  return { bash: bashScript, zsh: zshScript, fish: fishScript }[shell](program.name(), known);
}

function knownOf(command: Command): Known {
  const [argument] = command.registeredArguments;
  return {
    name: command.name(),
    about: command.summary() || command.description(),
    flags: [...command.options.map(flagOf), { names: ['-h', '--help'], about: 'print help', values: null }],
    argument: argument === undefined ? null : (argument.argChoices ?? 'file'),
  };
}

const ROWS: ReadonlyMap<string, OptionRow> = new Map(
  [...PLACEMENT_KEYS, ...OTHER_KEYS].map((key) => [flagName(optionRow(key)), optionRow(key)]),
);

function flagOf({ short, long, description, required, optional, flags }: Option): Flag {
  const names = [short, long].filter((name) => name !== undefined);
  const about = description.replaceAll(/\s+/g, ' ');
  if (!required && !optional) return { names, about, values: null };
  const row = ROWS.get(long ?? '');
  if (row?.kind === 'axis') return { names, about, values: AXIS_WORDS };
  if (row?.choices) return { names, about, values: row.choices };
  if (row?.kind.endsWith('auto')) return { names, about, values: ['auto'] };
  return { names, about, values: /<(file|svg|dir)>/.test(flags) ? 'file' : 'typed' };
}

/** For every shell alike: text in single quotes. */
const quoted = (text: string): string => `'${text.replaceAll("'", "'\\''")}'`;

function bashScript(program: string, known: readonly Known[]): string {
  const names = known.map(({ name }) => name);
  const afterFlag = known.flatMap(({ name, flags }) =>
    flags.flatMap(({ names: own, values }) => {
      const cases = own.map((flag) => quoted(`${name} ${flag}`)).join('|');
      if (values === null) return [];
      if (values === 'file') return [`    ${cases}) return ;;`];
      const words = values === 'typed' ? '' : values.join(' ');
      return [
        `    ${cases}) compopt +o default; COMPREPLY=($(compgen -W ${quoted(words)} -- "$cur")); return ;;`,
      ];
    }),
  );
  const ofCommand = known.flatMap(({ name, flags, argument }) => [
    `    ${quoted(name)}) words=${quoted(flags.flatMap(({ names: own }) => own).join(' '))}`,
    ...(Array.isArray(argument)
      ? [`      [[ $cur == -* ]] || words=${quoted(argument.join(' '))} ;;`]
      : ['      [[ $cur == -* ]] || return ;;']),
  ]);
  return `_${program}() {
  local cur=\${COMP_WORDS[COMP_CWORD]} prev=\${COMP_WORDS[COMP_CWORD-1]} command= word words
  for word in "\${COMP_WORDS[@]:1:COMP_CWORD-1}"; do
    case $word in ${names.join('|')}) command=$word; break ;; esac
  done
  COMPREPLY=()
  case "$command $prev" in
${afterFlag.join('\n')}
  esac
  case $command in
${ofCommand.join('\n')}
    *) compopt +o default; words=${quoted([...names, '--help', '--version'].join(' '))} ;;
  esac
  COMPREPLY=($(compgen -W "$words" -- "$cur"))
}
complete -o default -F _${program} ${program}
`;
}

function zshScript(program: string, known: readonly Known[]): string {
  const plain = (text: string): string => text.replaceAll(/[[\]:\\]/g, (sign) => `\\${sign}`);
  const follows = (values: Values): string => {
    if (values === null) return '';
    if (values === 'file') return ':file:_files';
    return values === 'typed' ? ':value: ' : `:value:(${values.join(' ')})`;
  };
  const cases = known.map(({ name, flags, argument }) => {
    const lines = flags.flatMap(({ names, about, values }) =>
      names.map((flag) => quoted(`${flag}[${plain(about)}]${follows(values)}`)),
    );
    if (argument !== null) lines.push(quoted(`1${follows(argument)}`));
    return `    ${name})\n      _arguments \\\n        ${lines.join(' \\\n        ')} ;;`;
  });
  return `#compdef ${program}
_${program}() {
  local -a commands
  commands=(
    ${known.map(({ name, about }) => quoted(`${name}:${plain(about)}`)).join('\n    ')}
  )
  if (( CURRENT == 2 )); then
    _describe command commands
    return
  fi
  local command=\${words[2]}
  shift words
  (( CURRENT-- ))
  case $command in
${cases.join('\n')}
  esac
}
compdef _${program} ${program}
`;
}

function fishScript(program: string, known: readonly Known[]): string {
  const lines = known.flatMap(({ name, about, flags, argument }) => {
    const seen = `complete -c ${program} -n ${quoted(`__fish_seen_subcommand_from ${name}`)}`;
    return [
      `complete -c ${program} -n __fish_use_subcommand -f -a ${name} -d ${quoted(about)}`,
      ...flags.map(({ names, about: what, values }) => {
        const own = names.map((flag) =>
          flag.startsWith('--') ? `-l ${flag.slice(2)}` : `-s ${flag.slice(1)}`,
        );
        const after =
          values === null
            ? ''
            : values === 'file'
              ? ' -rF'
              : values === 'typed'
                ? ' -x'
                : ` -xa ${quoted(values.join(' '))}`;
        return `${seen} ${own.join(' ')}${after} -d ${quoted(what)}`;
      }),
      ...(Array.isArray(argument) ? [`${seen} -fa ${quoted(argument.join(' '))}`] : []),
    ];
  });
  return `${lines.join('\n')}\n`;
}

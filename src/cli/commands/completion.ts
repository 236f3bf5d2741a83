import { Argument, Command } from 'commander';
import { completionScript, SHELLS, type Shell } from '../completion.js';
import { EXIT, type ExitCode, type Io } from '../io.js';

const EXAMPLES = `Examples:
  scarp completion bash > ~/.local/share/bash-completion/completions/scarp
  source <(scarp completion zsh)
  scarp completion fish > ~/.config/fish/completions/scarp.fish
`;

/** `completion SHELL`: a script that completes command lines. */
export function completionCommand(io: Io, finish: (code: ExitCode) => void): Command {
  const command = new Command('completion')
    .summary('a script that completes command lines in bash, zsh or fish')
    .description('Prints a script with every command, option and choice of this version.')
    .addArgument(new Argument('<shell>', 'the shell it is for').choices(SHELLS))
    .addHelpText('before', EXAMPLES);
  return command.action((shell: Shell) => {
    io.out(completionScript(shell, command.parent ?? command));
    finish(EXIT.done);
  });
}

import { Command, CommanderError } from 'commander';
import { PartError } from '../core/errors.js';
import { printable } from '../core/printable.js';
import { calibrateCommand } from './commands/calibrate.js';
import { checkCommand } from './commands/check.js';
import { completionCommand } from './commands/completion.js';
import { pageCommand } from './commands/page.js';
import { surveyCommand } from './commands/survey.js';
import { EXIT, type ExitCode, type Io } from './io.js';
import { usageMessage } from './usage-message.js';
import { VERSION } from './version.js';

const EXAMPLES = `Examples:
  scarp survey cavity.stl          the whole job, files into cavity-survey
  scarp check cavity.stl           is the mesh fit for it
  scarp survey --help              every option
`;

/**
 * Runs one command line.
 *
 * @param argv what the user typed after the program's name
 * @returns the exit code; nothing is thrown, an error is one line on `io.err`
 */
export async function run(argv: readonly string[], io: Io): Promise<ExitCode> {
  let code: ExitCode = EXIT.done;
  const program = buildProgram(io, (ended) => {
    code = ended;
  });
  try {
    if (argv.length === 0) program.outputHelp();
    else await program.parseAsync([...argv], { from: 'user' });
    return code;
  } catch (error) {
    return report(error, program, io);
  }
}

function buildProgram(io: Io, finish: (code: ExitCode) => void): Command {
  const program = new Command('scarp')
    .description(
      'Steep and shallow, reach, cutters and minutes of a part to be finish-milled, ' +
        'before any toolpath exists.',
    )
    .version(VERSION, '--version', 'print the version')
    .helpOption('-h, --help', 'print help')
    .addHelpText('before', EXAMPLES);
  program
    .addCommand(surveyCommand(io, finish))
    .addCommand(checkCommand(io, finish))
    .addCommand(pageCommand(io, finish))
    .addCommand(calibrateCommand(io, finish))
    .addCommand(completionCommand(io, finish));
  for (const command of [program, ...program.commands]) {
    command.exitOverride().configureOutput({ writeOut: io.out, writeErr: () => {}, outputError: () => {} });
    command.helpOption('-h, --help', 'print help');
  }
  return program;
}

function report(error: unknown, program: Command, io: Io): ExitCode {
  if (io.signal.aborted) {
    io.err('scarp: interrupted; nothing was written\n');
    return EXIT.interrupted;
  }
  if (error instanceof CommanderError) {
    if (error.exitCode === 0) return EXIT.done;
    io.err(`scarp: ${oneLine(usageMessage(error, program))}\n`);
    return EXIT.usage;
  }
  if (error instanceof PartError) {
    io.err(`scarp: ${oneLine(error.message)}\n`);
    return /^(option|output)\./.test(error.info.code) ? EXIT.usage : EXIT.unusablePart;
  }
  const what = error instanceof Error ? error : new Error(String(error));
  const trace = io.env.SCARP_DEBUG ? `${what.stack ?? ''}\n` : '';
  io.err(
    `scarp: internal error: ${oneLine(what.message)}; please report it with the part, ` +
      `SCARP_DEBUG=1 shows where\n${trace}`,
  );
  return EXIT.ourFault;
}

/** File names and messages of others may hold line ends, and what a terminal obeys. */
const oneLine = (text: string): string => printable(text.replaceAll(/[\r\n]+/g, ' '));

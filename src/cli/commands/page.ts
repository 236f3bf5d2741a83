import { Command } from 'commander';
import { messageOf, PartError } from '../../core/errors.js';
import { parseNumber } from '../parse-value.js';
import { EXIT, type ExitCode, type Io } from '../io.js';

interface PageFlags {
  port?: number;
}

const EXAMPLES = `Examples:
  scarp page
  scarp page --port 8080
`;

/** `page`: serves the browser page on this computer until interrupted. */
export function pageCommand(io: Io, finish: (code: ExitCode) => void): Command {
  return new Command('page')
    .summary('the browser page, served locally')
    .description(
      'Serves the page on this computer only (127.0.0.1), until Ctrl-C. The part is read and computed in ' +
        'the browser; nothing is uploaded.',
    )
    .option('--port <number>', 'port to listen on (default: any that is free)', parseNumber)
    .addHelpText('before', EXAMPLES)
    .action(async (flags: PageFlags) => {
      finish(await servePage(flags.port ?? 0, io));
    });
}

async function servePage(port: number, io: Io): Promise<ExitCode> {
  const { startPageServer } = await import('../../node/page-server.js');
  if (!Number.isInteger(port) || port < 0 || port > 65535)
    throw portError(port, 'is no port number', 'give one from 1 to 65535');
  const server = await startPageServer(port).catch((error: unknown) => {
    throw portError(port, messageOf(error), 'choose another, or none');
  });
  io.out(`${server.url}\n`);
  io.err('scarp: serving on this computer only; Ctrl-C ends it\n');
  await new Promise<void>((resolve) => {
    if (io.signal.aborted) resolve();
    else io.signal.addEventListener('abort', () => resolve(), { once: true });
  });
  await server.close();
  return EXIT.done;
}

const portError = (port: number, what: string, remedy: string): PartError =>
  new PartError({ code: 'option.port', where: `--port ${port}`, what, remedy });

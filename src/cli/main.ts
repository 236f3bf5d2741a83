#!/usr/bin/env node
import process from 'node:process';
import { EXIT } from './io.js';
import { run } from './run.js';

const interrupt = new AbortController();
for (const signal of ['SIGINT', 'SIGTERM'] as const) {
  process.on(signal, () => {
    if (interrupt.signal.aborted) process.exit(EXIT.interrupted);
    interrupt.abort(new Error('interrupted'));
  });
}
// A reader that has seen enough (`scarp ... | head`) is no failure.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(EXIT.done);
  process.stderr.write(`scarp: standard output: ${error.message}; check where it goes, and its space\n`);
  process.exit(EXIT.usage);
});
// Where messages cannot be written there is nobody to tell.
process.stderr.on('error', () => process.exit(EXIT.usage));

process.exitCode = await run(process.argv.slice(2), {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
  outIsTerminal: process.stdout.isTTY === true,
  errIsTerminal: process.stderr.isTTY === true,
  outColumns: process.stdout.columns,
  readIn: async () => (await import('../node/read-file.js')).readStreamBytes(process.stdin, 'stdin'),
  env: process.env,
  signal: interrupt.signal,
  loadEngine: async () => (await import('../node/worker-engine.js')).workerEngine,
});

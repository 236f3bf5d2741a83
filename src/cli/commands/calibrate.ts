import { digits } from '../../core/figures.js';
import { basename } from 'node:path';
import { Command } from 'commander';
import { printable } from '../../core/printable.js';
import type { Calibration } from '../../time/calibrate.js';
import type { Machine } from '../../time/machine.js';
import { percent } from '../../time/quote.js';
import { EXIT, type ExitCode, type Io } from '../io.js';

interface CalibrateFlags {
  machine: string;
  write?: string;
  force?: boolean;
  json?: boolean;
}

const EXAMPLES = `Examples:
  scarp calibrate jobs.csv --machine mill.json
  scarp calibrate jobs.csv --machine mill.json --write mill-calibrated.json

jobs.csv, minutes of finishing, predicted with a time factor of 1:
  predicted,actual
  42,51.5
`;

/** `calibrate JOBS`: fits the time factor of a machine file to the shop's own jobs. */
export function calibrateCommand(io: Io, finish: (code: ExitCode) => void): Command {
  return new Command('calibrate')
    .summary('fit the time factor of a machine file to jobs of your own')
    .description(
      'Compares predicted with actual minutes: prints the factor between them and how far jobs spread around ' +
        'it, and writes a machine file that holds both.',
    )
    .argument('<jobs>', 'CSV file with columns predicted and actual, minutes')
    .requiredOption('--machine <file>', 'machine file to calibrate, JSON')
    .option('--write <file>', 'write the machine file with factor and spread in it')
    .option('--force', 'write over a file that exists')
    .option('--json', 'the result as JSON on stdout, nothing else there')
    .addHelpText('before', EXAMPLES)
    .action(async (path: string, flags: CalibrateFlags) => {
      finish(await runCalibrate(path, flags, io));
    });
}

async function runCalibrate(path: string, flags: CalibrateFlags, io: Io): Promise<ExitCode> {
  const { readFileBytes, readJsonFile } = await import('../../node/read-file.js');
  const { calibrate, readJobs } = await import('../../time/calibrate.js');
  const { readMachine } = await import('../../time/machine.js');
  const { toJsonText } = await import('../../write/json.js');
  const machine = readMachine(await readJsonFile(flags.machine, 'machine'), flags.machine);
  const text = new TextDecoder().decode(await readFileBytes(path, io.signal));
  const { jobs, refused } = readJobs(text, basename(path));
  const found = calibrate(jobs, refused, basename(path));
  const calibrated = readMachine(
    { ...machine, timeFactor: found.timeFactor, timeSpread: spreadOf(found) },
    `${path}: machine file from it`,
  );
  if (flags.write !== undefined) {
    const { writeOutputFile } = await import('../../node/output-directory.js');
    await writeOutputFile(flags.write, toJsonText(calibrated), { force: flags.force === true });
  }
  io.out(flags.json ? toJsonText(found) : calibrationText(found, machine, flags.write ?? null));
  return EXIT.done;
}

/** A machine file's spread holds 1: with a handful of jobs a percentile may fall a hair on the other side. */
const spreadOf = ({ timeSpread: { low, high } }: Calibration): NonNullable<Machine['timeSpread']> => ({
  low: Math.min(1, low),
  high: Math.max(1, high),
});

function calibrationText(found: Calibration, before: Machine, written: string | null): string {
  const { timeFactor, timeSpread, jobs, findings } = found;
  const lines = [
    `Time factor ${digits(timeFactor)}, the median of ${jobs} jobs (the machine file has ${digits(before.timeFactor)})`,
    `Spread ${percent(timeSpread.low)} to ${percent(timeSpread.high)}: eight jobs in ten lie within it`,
    ...findings.map(({ severity, message }) => `${severity}  ${message}`),
    ...(before.timeFactor === 1
      ? []
      : [
          `warning  Predicted minutes must come from a time factor of 1; surveys with this machine file have ${digits(before.timeFactor)} ` +
            'in them.',
        ]),
    written === null ? 'Nothing written; --write FILE writes the machine file.' : `Written to ${written}`,
  ];
  return `${lines.map(printable).join('\n')}\n`;
}

import { basename, extname, join } from 'node:path';
import { Command } from 'commander';
import { printable } from '../../core/printable.js';
import { withCommonOptions, type CommonFlags } from '../common-options.js';
import { EXIT, type ExitCode, type Io } from '../io.js';
import type { EarlyAnswers } from '../../survey/survey.js';
import { withPlacementOptions, withSetupOptions, type SetupFlags } from '../setup-options.js';

type SurveyFlags = CommonFlags & SetupFlags & { readonly out?: string; readonly force?: boolean };

const EXAMPLES = `Examples:
  scarp survey cavity.stl
  scarp survey cavity.stl --axis +y --unit in --out cavity-plan
  scarp survey cavity.stl --split auto --cutters shop.json --machine mill.json
  scarp survey cavity.stl --json > plan.json
`;

/** `survey PART`: the whole job; writes into a directory and answers on one page. */
export function surveyCommand(io: Io, finish: (code: ExitCode) => void): Command {
  const command = new Command('survey')
    .summary('the whole job: classes, reach, cutters, minutes; writes a directory of files')
    .description(
      'Surveys a part: what is steep and shallow, what each cutter reaches, which cutters in which ' +
        'order, how long finishing takes. A planning aid: verify by simulation and at the machine.',
    )
    .argument('<part>', 'STL, 3MF, OBJ, PLY, GLB, glTF or STEP file; - reads stdin')
    .option('--out <dir>', 'directory for the files (default: the part\'s name + "-survey")')
    .option('--force', 'write into a directory that holds files of others')
    .addHelpText('before', EXAMPLES)
    .addHelpText('after', '\nLengths are in mm or carry a unit: 3mm, 0.3cm, 0.125in.');
  withCommonOptions(command, 'the plan as JSON on stdout, nothing else there');
  return withSetupOptions(withPlacementOptions(command)).action(async (path: string, flags: SurveyFlags) => {
    finish(await runSurvey(path, flags, io));
  });
}

async function runSurvey(path: string, flags: SurveyFlags, io: Io): Promise<ExitCode> {
  const { setupFromFlags } = await import('../setup-from-flags.js');
  const { checkOutputDirectory, writeOutputDirectory } = await import('../../node/output-directory.js');
  const { fileDay } = await import('../../node/read-file.js');
  const { analyse, partName } = await import('../analyse.js');
  const given = await setupFromFlags(flags);
  const setup = { ...given, partDate: given.partDate ?? (await fileDay(path)) };
  const directory = flags.out ?? `${basename(partName(path), extname(path))}-survey`;
  const force = flags.force === true;
  await checkOutputDirectory(directory, { force });
  // Who reads along is told what is final as soon as it is; a file or another program gets all of it or nothing.
  const isRead = io.outIsTerminal && !flags.json && !flags.quiet;
  const { plan, files } = await analyse(
    path,
    flags,
    io,
    (engine, part, name, context) => engine.survey(part, name, setup, context),
    isRead ? await teller(io) : undefined,
  );
  await writeOutputDirectory(directory, files, { force, signal: io.signal });
  if (flags.json) {
    const { planJson } = await import('../../write/json.js');
    io.out(planJson(plan));
  } else {
    const { endText, reportPath, summaryText } = await import('../../write/summary.js');
    const { layout } = await import('../paint.js');
    const written = { directory: printable(join(directory, '/')), names: [...files.keys()].sort() };
    if (flags.quiet) io.out(`${reportPath(written)}\n`);
    else io.out((isRead ? endText : summaryText)(plan, { ...layout(io), written }));
  }
  const failed = plan.findings.some((finding) => finding.severity === 'error');
  return flags.strict && failed ? EXIT.strictFindings : EXIT.done;
}

/** Prints answers as they become final. Loads what writes them: only who reads along waits for that. */
async function teller(io: Io): Promise<(answers: EarlyAnswers) => void> {
  const { surfaceText, workText } = await import('../../write/summary.js');
  const { layout } = await import('../paint.js');
  const style = layout(io);
  return (answers) =>
    io.out(answers.kind === 'surface' ? surfaceText(answers, style) : workText(answers, style));
}

import { Command, InvalidArgumentError } from 'commander';
import { printable } from '../../core/printable.js';
import { withCommonOptions, type CommonFlags } from '../common-options.js';
import { EXIT, type ExitCode, type Io } from '../io.js';
import { withPlacementOptions, type SetupFlags } from '../setup-options.js';

type CheckFlags = CommonFlags &
  SetupFlags & { readonly out?: string; readonly fix?: string; readonly force?: boolean };

const EXAMPLES = `Examples:
  scarp check cavity.stl
  scarp check cavity.stl --unit in --strict
  scarp check cavity.stl --out check.html
  scarp check cavity.stl --fix cavity-fixed.stl
  scarp check cavity.stl --json
`;

/** `check PART`: is the mesh fit for a survey; writes only what it is asked for. */
export function checkCommand(io: Io, finish: (code: ExitCode) => void): Command {
  const command = new Command('check')
    .summary('is the mesh fit for it: health, unit, size')
    .description(
      'Checks the mesh of a part: size and unit, holes and cracks, edges and vertices that facets share oddly, ' +
        'duplicates, slivers, orientation, shells in and through each other, dust, facets that cut through each other. ' +
        'Writes nothing but what --out and --fix ask for.',
    )
    .argument('<part>', 'STL, 3MF, OBJ, PLY, GLB, glTF or STEP file; - reads stdin')
    .option('--out <file>', 'write a report with every place in a view of the part, HTML')
    .option(
      '--fix <file>',
      'write the mesh with what is safe repaired, binary STL in mm: orientation, cracks, duplicates, dust, small holes',
      stlName,
    )
    .option('--force', 'write over files that exist')
    .addHelpText('before', EXAMPLES);
  withCommonOptions(command, 'the result as JSON on stdout, nothing else there');
  return withPlacementOptions(command).action(async (path: string, flags: CheckFlags) => {
    finish(await runCheck(path, flags, io));
  });
}

/** What is written is STL, whatever a file is called: so it is called that. */
function stlName(text: string): string {
  if (!/\.stl$/i.test(text)) throw new InvalidArgumentError(`"${text}" found, a file *.stl expected`);
  return text;
}

async function runCheck(path: string, flags: CheckFlags, io: Io): Promise<ExitCode> {
  const { setupFromFlags } = await import('../setup-from-flags.js');
  const { analyse } = await import('../analyse.js');
  const { checkOutputFile, writeOutputFile } = await import('../../node/output-directory.js');
  const setup = await setupFromFlags(flags);
  const { out, fix } = flags,
    force = flags.force === true;
  for (const file of [out, fix]) if (file !== undefined) await checkOutputFile(file, { force });
  const result = await analyse(path, flags, io, (engine, part, name, context) =>
    engine.check(part, name, setup, context, { report: out !== undefined, fixed: fix !== undefined }),
  );
  const { report, fixed, ...answer } = result;
  if (out !== undefined && report !== null) await writeOutputFile(out, report, { force });
  if (fix !== undefined && fixed !== null) await writeOutputFile(fix, fixed.stl, { force });
  if (flags.json) {
    const { toJsonText } = await import('../../write/json.js');
    io.out(toJsonText(answer));
  } else if (!flags.quiet) {
    const { checkText } = await import('../../write/check-text.js');
    const { layout } = await import('../paint.js');
    const files = { report: out && printable(out), fixed: fix && printable(fix) };
    io.out(checkText(result, { ...layout(io), files }));
  }
  const failed = answer.findings.some((finding) => finding.severity === 'error');
  return flags.strict && failed ? EXIT.strictFindings : EXIT.done;
}

import { Command } from 'commander';
import { withCommonOptions, type CommonFlags } from '../common-options.js';
import { EXIT, type ExitCode, type Io } from '../io.js';
import { withPlacementOptions, type SetupFlags } from '../setup-options.js';

type CheckFlags = CommonFlags & SetupFlags;

const EXAMPLES = `Examples:
  scarp check cavity.stl
  scarp check cavity.stl --unit in --strict
  scarp check cavity.stl --json
`;

/** `check PART`: is the mesh fit for a survey; writes nothing. */
export function checkCommand(io: Io, finish: (code: ExitCode) => void): Command {
  const command = new Command('check')
    .summary('is the mesh fit for it: health, unit, size; writes nothing')
    .description('Checks the mesh of a part: size and unit, open edges, duplicates, slivers, orientation.')
    .argument('<part>', 'STL, 3MF, OBJ, PLY, GLB, glTF or STEP file; - reads stdin')
    .addHelpText('before', EXAMPLES);
  withCommonOptions(command, 'the result as JSON on stdout, nothing else there');
  return withPlacementOptions(command).action(async (path: string, flags: CheckFlags) => {
    finish(await runCheck(path, flags, io));
  });
}

async function runCheck(path: string, flags: CheckFlags, io: Io): Promise<ExitCode> {
  const { setupFromFlags } = await import('../setup-from-flags.js');
  const { analyse } = await import('../analyse.js');
  const setup = await setupFromFlags(flags);
  const result = await analyse(path, flags, io, (engine, bytes, name, context) =>
    engine.check(bytes, name, setup, context),
  );
  if (flags.json) {
    const { toJsonText } = await import('../../write/json.js');
    const { source, mesh, findings } = result;
    io.out(toJsonText({ source, mesh, findings }));
  } else if (!flags.quiet) {
    const { checkText } = await import('../../write/summary.js');
    const { layout } = await import('../paint.js');
    io.out(checkText(result, layout(io)));
  }
  const failed = result.findings.some((finding) => finding.severity === 'error');
  return flags.strict && failed ? EXIT.strictFindings : EXIT.done;
}

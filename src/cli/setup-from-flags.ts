import { dirname, resolve } from 'node:path';
import { PartError } from '../core/errors.js';
import { readCatalogue } from '../cutter/catalogue.js';
import { readFileBytes, readJsonFile } from '../node/read-file.js';
import { resolveSetup, type Setup, type SetupFile } from '../setup.js';
import { readCuttingData } from '../time/cutting-data.js';
import { readMachine } from '../time/machine.js';
import type { SetupFlags } from './setup-options.js';

/** Which option of the command line stands for which key of the set-up. */
const FLAG_OF_KEY: Readonly<Record<string, string>> = {
  unit: '--unit',
  axis: '--axis',
  stand: '--no-stand',
  splitDeg: '--split',
  overlapDeg: '--overlap',
  overlapMm: '--overlap',
  toleranceMm: '--tolerance',
  radiiMm: '--radii',
  within: '--within',
  cutters: '--cutters',
  machine: '--machine',
  cuttingData: '--cutting-data',
  material: '--material',
  scallopMm: '--scallop',
  stepoverMm: '--stepover',
  stepdownMm: '--stepdown',
  stockMm: '--stock',
  includeOutside: '--include-outside',
  minRegionMm2: '--min-region',
  creaseDeg: '--crease',
  firstCutterShare: '--first-share',
  ladderRule: '--ladder',
  rasterDirectionDeg: '--raster-direction',
  holderClearanceMm: '--holder-clearance',
  preview: '--preview',
  neckStepovers: '--necks',
  runOutMm: '--run-out',
  noiseMm: '--noise',
  blendShare: '--blend',
  patches: '--patches',
  partDate: '--part-date',
};

/** Files that a set-up may name instead of holding their content. */
interface NamedFiles {
  readonly within?: string | undefined;
  readonly cutters?: string | undefined;
  readonly machine?: string | undefined;
  readonly cuttingData?: string | undefined;
}

/**
 * The set-up that the options of a command line mean, with the files they name read.
 *
 * @throws {PartError} for a file; `option.*` for an option, its place being the option as typed
 */
export async function setupFromFlags(flags: SetupFlags): Promise<Setup> {
  const given: SetupFile = {
    unit: flags.unit,
    axis: flags.axis,
    stand: flags.stand === false ? false : undefined,
    splitDeg: flags.split,
    ...flags.overlap,
    toleranceMm: flags.tolerance,
    radiiMm: flags.radii,
    material: flags.material,
    scallopMm: flags.scallop,
    stepoverMm: flags.stepover,
    stepdownMm: flags.stepdown,
    stockMm: flags.stock,
    includeOutside: flags.includeOutside,
    minRegionMm2: flags.minRegion,
    creaseDeg: flags.crease,
    firstCutterShare: flags.firstShare,
    ladderRule: flags.ladder,
    rasterDirectionDeg: flags.rasterDirection,
    holderClearanceMm: flags.holderClearance,
    preview: flags.preview,
    neckStepovers: flags.necks,
    runOutMm: flags.runOut,
    noiseMm: flags.noise,
    blendShare: flags.blend,
    patches: flags.patches,
    partDate: flags.partDate,
    ...(await readNamedFiles(flags, '')),
  };
  const options: SetupFile = Object.fromEntries(
    Object.entries(given).filter(([, value]) => value !== undefined),
  );
  const file = flags.setup === undefined ? undefined : await readSetupFile(flags.setup);
  try {
    return resolveSetup(file, options, flags.setup);
  } catch (error) {
    if (!(error instanceof PartError) || !error.info.code.startsWith('option.')) throw error;
    const key = error.info.where.replace(/^option: /, '').split('.')[0];
    throw new PartError({ ...error.info, where: FLAG_OF_KEY[key] ?? key, remedy: 'correct the option' });
  }
}

/** A set-up file with the files it names put in their place; paths are seen from its own folder. */
async function readSetupFile(path: string): Promise<unknown> {
  const file = await readJsonFile(path, 'setup');
  if (typeof file !== 'object' || file === null || Array.isArray(file)) return file;
  const texts = Object.entries(file).filter(([, value]) => typeof value === 'string');
  return { ...file, ...(await readNamedFiles(Object.fromEntries(texts) as NamedFiles, dirname(path))) };
}

/** Each file is checked on its own, so that a message names that file. */
async function readNamedFiles(paths: NamedFiles, folder: string): Promise<SetupFile> {
  const place = (path: string): string => (folder === '' ? path : resolve(folder, path));
  const read = async <T>(
    path: string | undefined,
    kind: string,
    check: (json: unknown, where: string) => T,
  ): Promise<T | undefined> => {
    if (path === undefined) return undefined;
    return check(await readJsonFile(place(path), kind), place(path));
  };
  const found = {
    within: paths.within === undefined ? undefined : await readWithin(place(paths.within)),
    cutters: await read(paths.cutters, 'cutters', readCatalogue),
    machine: await read(paths.machine, 'machine', readMachine),
    cuttingData: await read(paths.cuttingData, 'cutting-data', readCuttingData),
  };
  return Object.fromEntries(Object.entries(found).filter(([, value]) => value !== undefined));
}

/** Rings of an SVG drawing, or of one group of it: `FILE.svg#ID`. */
async function readWithin(place: string): Promise<NonNullable<Setup['within']>> {
  const [, path = place, only = null] = /^(.*\.svg)#(.+)$/i.exec(place) ?? [];
  const [{ loadClipper }, { READ_SVG_DEFAULTS, readSvgOutlines }] = await Promise.all([
    import('../outlines/clipper.js'),
    import('../read/read-svg.js'),
  ]);
  const text = new TextDecoder().decode(await readFileBytes(path));
  const rings = readSvgOutlines(text, await loadClipper(), { ...READ_SVG_DEFAULTS, where: path, only });
  return rings.map((ring) =>
    Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i], ring[2 * i + 1]]),
  );
}

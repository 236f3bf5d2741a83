import { dirname, resolve } from 'node:path';
import { PartError } from '../core/errors.js';
import { readCatalogue } from '../cutter/catalogue.js';
import { readFileBytes, readJsonFile } from '../node/read-file.js';
import { resolveSetup, type Setup, type SetupFile } from '../setup.js';
import { readCuttingData } from '../time/cutting-data.js';
import { readMachine } from '../time/machine.js';
import { PLACEMENT_OPTIONS, SURVEY_OPTIONS } from './setup-options.js';

/** Options of a command line as commander hands them over, by name. */
export type SetupFlags = Readonly<Record<string, unknown>> & { readonly setup?: string };

const OPTIONS = [...PLACEMENT_OPTIONS, ...SURVEY_OPTIONS];

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
  const options: Record<string, unknown> = {};
  for (const { keys, given } of OPTIONS) {
    const value = given(flags);
    if (keys.length > 1) Object.assign(options, value);
    else if (value !== undefined) options[keys[0]] = value;
  }
  Object.assign(options, await readNamedFiles(options, ''));
  const file = flags.setup === undefined ? undefined : await readSetupFile(flags.setup);
  try {
    return resolveSetup(file, options, flags.setup);
  } catch (error) {
    if (!(error instanceof PartError) || !error.info.code.startsWith('option.')) throw error;
    const key = error.info.where.replace(/^option: /, '').split('.')[0];
    const option = OPTIONS.find(({ keys }) => keys.some((one) => one === key));
    throw new PartError({ ...error.info, where: option?.name ?? key, remedy: 'correct the option' });
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

import { basename, dirname, resolve } from 'node:path';
import { PartError } from '../core/errors.js';
import { readCatalogue } from '../cutter/catalogue.js';
import { readFileBytes, readJsonFile } from '../node/read-file.js';
import { blockTyped, OTHER_KEYS, optionRow, PLACEMENT_KEYS, type OptionKey } from '../options.js';
import { resolveSetup, type Setup, type SetupFile } from '../resolve-setup.js';
import { readCuttingData } from '../time/cutting-data.js';
import { readMachine } from '../time/machine.js';
import { flagKey, flagName, type SetupFlags } from './setup-options.js';

const KEYS: readonly OptionKey[] = [...PLACEMENT_KEYS, ...OTHER_KEYS];
type Given = Readonly<Record<string, unknown>>;

/** What is in a file that a set-up names instead of holding its content; each is checked on its own. */
const READERS: Readonly<Partial<Record<OptionKey, (path: string, unit: unknown) => Promise<unknown>>>> = {
  within: readWithin,
  block: readBlock,
  cutters: async (path) => readCatalogue(await readJsonFile(path, 'cutters'), path),
  machine: async (path) => readMachine(await readJsonFile(path, 'machine'), path),
  cuttingData: async (path) => readCuttingData(await readJsonFile(path, 'cutting-data'), path),
};

/**
 * The set-up that the options of a command line mean, with the files they name read.
 *
 * @throws {PartError} for a file; `option.*` for an option, its place being the option as typed
 */
export async function setupFromFlags(flags: SetupFlags): Promise<Setup> {
  const given: Given = Object.assign({}, ...KEYS.map((key) => keysSetBy(key, flags)));
  const path = typeof flags.setup === 'string' ? flags.setup : undefined;
  const own = path === undefined ? undefined : await readJsonFile(path, 'setup'),
    fromFile = isObject(own) ? own : {};
  const unit = given.unit ?? fromFile.unit;
  const options: SetupFile = await withNamedFiles(given, '', unit);
  // Paths in a set-up file are seen from its own folder.
  const file = isObject(own) ? await withNamedFiles(own, dirname(path ?? ''), unit) : own;
  try {
    return resolveSetup(file, options, path);
  } catch (error) {
    if (!(error instanceof PartError) || !error.info.code.startsWith('option.')) throw error;
    const key = error.info.where.replace(/^option: /, '').split('.')[0];
    const known = KEYS.find((one) => one === key);
    const where = known === undefined ? key : flagName(optionRow(known));
    throw new PartError({ ...error.info, where, remedy: 'correct the option' });
  }
}

/** What the flag of an option sets; nothing where it was not given. */
function keysSetBy(key: OptionKey, flags: SetupFlags): object {
  const row = optionRow(key),
    value = flags[flagKey(row)];
  if (typeof value === 'object' && value !== null) return value;
  // Commander makes a switch that is on by default true where it was not given.
  return row.kind === 'switch' && value !== undefined && value !== row.default ? { [key]: value } : {};
}

const isObject = (value: unknown): value is Given =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Options with the files that they name put in their place. @param unit of the part, as far as it was given */
async function withNamedFiles(given: Given, folder: string, unit: unknown): Promise<Given> {
  const read = { ...given };
  for (const [key, reader] of Object.entries(READERS)) {
    const path = given[key];
    if (typeof path !== 'string') continue;
    const isPlain = key === 'block' && blockTyped(path) !== null;
    read[key] = await reader(folder === '' || isPlain ? path : resolve(folder, path), unit);
  }
  return read;
}

/** `box`, `cylinder`, `box:X,Y,Z`, or the mesh in a file, in the part's unit where that says none of its own. */
async function readBlock(place: string, unit: unknown): Promise<Exclude<SetupFile['block'], undefined>> {
  const typed = blockTyped(place);
  if (typed === null) {
    const [{ blockFromMesh }, bytes] = await Promise.all([
      import('../survey/survey-block.js'),
      readFileBytes(place),
    ]);
    return blockFromMesh(bytes, basename(place), unit);
  }
  if (typeof typed === 'string' || Array.isArray(typed)) return typed;
  throw new PartError({
    code: 'option.block',
    where: flagName(optionRow('block')),
    what: `"${typed.unread}" found, three lengths such as box:120,80,40 expected`,
    remedy: 'correct the option',
  });
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

import { z } from 'zod';
import { checkInput, publishedSchema, shownText } from './core/check-input.js';
import type { DeepReadonly } from './core/deep-readonly.js';
import { PartError } from './core/errors.js';
import { MOST_MM } from './core/limits.js';
import {
  catalogueSchema,
  cutterSchema,
  cutterShape,
  mayFinish,
  resolveCatalogue,
  type CatalogueFile,
  type Cutter,
} from './cutter/catalogue.js';
import { DEFAULT_CATALOGUE } from './cutter/default-catalogue.js';
import { AXIS_VECTORS, MOST_RADII, OPTIONS, valueDefaults, valueSchemas } from './options.js';
import { cuttingDataSchema, PLACEHOLDER_CUTTING_DATA, type CuttingData } from './time/cutting-data.js';
import { machineSchema, PLACEHOLDER_MACHINE } from './time/machine.js';

const VALUE_SCHEMAS = valueSchemas(z);
const planMm = z.number().min(-MOST_MM).max(MOST_MM);
/** Closed rings; the first point is not repeated. A ring inside a ring is a hole. */
const withinRings = z
  .array(z.array(z.tuple([planMm, planMm])).min(3))
  .min(1)
  .nullable()
  .describe(OPTIONS.within.about);

const size = z.number().positive().max(MOST_MM);
/** A mesh that the part is cut from: name of its file, its triangles' corners, mm in the file's coordinates. */
const blockMesh = z.strictObject({ name: shownText().max(200), cornersMm: z.array(planMm).min(9) });
const block = z
  .union([z.enum(['box', 'cylinder']), z.tuple([size, size, size]), blockMesh])
  .describe(OPTIONS.block.about);

type BlockGiven = Exclude<z.infer<typeof block>, string>;

/** A file of its own, given in place or by its path (as seen from the set-up file). */
const inPlaceOrPath = <T extends z.ZodType>(schema: T) =>
  z.union([schema, z.string().min(1).describe('path')]);

/**
 * JSON of a set-up file; also the options given on a command line or by a program. Every key may be left out.
 */
export const setupFileSchema = z
  .strictObject({
    $schema: z.string(),
    ...VALUE_SCHEMAS,
    within: inPlaceOrPath(withinRings),
    block: inPlaceOrPath(block),
    cutters: inPlaceOrPath(catalogueSchema),
    machine: inPlaceOrPath(machineSchema),
    cuttingData: inPlaceOrPath(cuttingDataSchema),
  })
  .partial();
export type SetupFile = z.infer<typeof setupFileSchema>;

export const AXIS_VECTOR = z
  .tuple([z.number(), z.number(), z.number()])
  .describe('unit vector in the file that becomes +Z');

/** Every option, resolved. */
export const setupSchema = z.strictObject({
  ...VALUE_SCHEMAS,
  axis: z.union([AXIS_VECTOR, z.literal('auto')]),
  within: withinRings,
  block,
  cutters: z.array(cutterSchema).min(1),
  machine: machineSchema,
  cuttingData: cuttingDataSchema,
});
export interface Setup extends DeepReadonly<Omit<z.infer<typeof setupSchema>, 'cuttingData'>> {
  readonly cuttingData: CuttingData;
}

/** Radii of the balls in a catalogue, mm, ascending, each once. */
export function ballRadiiMm(cutters: readonly Cutter[]): number[] {
  const radii = cutters.filter((cutter) => cutterShape(cutter) === 'ball').map((cutter) => cutter.RE);
  return [...new Set(radii)].sort((a, b) => a - b);
}

/** Every default. `radiiMm` follows the catalogue when a set-up brings its own. */
export const SETUP_DEFAULTS: Setup = {
  ...valueDefaults(),
  axis: resolvedAxis(OPTIONS.axis.default),
  within: null,
  block: 'box',
  radiiMm: ballRadiiMm(DEFAULT_CATALOGUE),
  cutters: [...DEFAULT_CATALOGUE],
  machine: PLACEHOLDER_MACHINE,
  cuttingData: PLACEHOLDER_CUTTING_DATA,
};

/**
 * Merges the defaults, a set-up file and single options; the later win, key by key.
 *
 * @param file parsed JSON of a set-up file, or undefined
 * @param options single options; they win over the file
 * @param where name of the file, for messages
 * @throws {PartError} `setup.unknown-key`, `setup.invalid`, `setup.path` or `cutters.*` for the file;
 *   `option.*` for the options, `where` then being the key
 */
export function resolveSetup(file: unknown, options: SetupFile = {}, where = 'setup file'): Setup {
  const fromFile = file === undefined ? {} : checkInput(setupFileSchema, file, where, 'setup');
  const fromOptions = checkInput(setupFileSchema, options, 'option', 'option');
  const {
    $schema: _schema,
    axis,
    within,
    block: blank,
    cutters,
    machine,
    cuttingData,
    ...values
  } = {
    ...given(fromFile),
    ...given(fromOptions),
  };
  const catalogue = inPlace<CatalogueFile>(cutters, where, 'cutters');
  const catalogueFrom = fromOptions.cutters === undefined ? where : 'cutters';
  const resolved = catalogue ? [...resolveCatalogue(catalogue, catalogueFrom)] : SETUP_DEFAULTS.cutters;
  const own = ballRadiiMm(resolved);
  const merged: Setup = {
    ...SETUP_DEFAULTS,
    radiiMm: own.length > 0 ? own : SETUP_DEFAULTS.radiiMm,
    ...values,
    axis: axis ? resolvedAxis(axis) : SETUP_DEFAULTS.axis,
    cutters: resolved,
    within: inPlace(within, where, 'within') ?? SETUP_DEFAULTS.within,
    block:
      (blank === 'box' || blank === 'cylinder' ? blank : inPlace<BlockGiven>(blank, where, 'block')) ??
      SETUP_DEFAULTS.block,
    machine: inPlace(machine, where, 'machine') ?? SETUP_DEFAULTS.machine,
    cuttingData: inPlace(cuttingData, where, 'cuttingData') ?? SETUP_DEFAULTS.cuttingData,
  };
  checkRadii([...merged.radiiMm, ...own], catalogueFrom);
  checkFinishers(resolved, catalogueFrom);
  return {
    ...merged,
    overlapDeg: merged.overlapMm === null ? merged.overlapDeg : 0,
    radiiMm: [...new Set(merged.radiiMm)].sort((a, b) => a - b),
  };
}

/** @throws {PartError} `cutters.too-many-radii` if more are to be surveyed than one survey takes */
function checkRadii(radiiMm: readonly number[], where: string): void {
  const { size } = new Set(radiiMm);
  if (size <= MOST_RADII) return;
  throw new PartError({
    code: 'cutters.too-many-radii',
    where,
    what: `${size} ball radii of the cutters and of those to report, at most ${MOST_RADII} are surveyed`,
    remedy: 'leave some out',
  });
}

/** @throws {PartError} `cutters.none-finishes` if no cutter may finish */
function checkFinishers(cutters: Setup['cutters'], where: string): void {
  if (cutters.some(mayFinish)) return;
  throw new PartError({
    code: 'cutters.none-finishes',
    where,
    what: 'none of the cutters is meant for finishing',
    remedy: 'add "finish" to the stages of those that are, or leave stages out',
  });
}

type Given<T> = { [K in keyof T]: Exclude<T[K], undefined> };

/** What is not undefined. */
function given<T extends object>(some: T): Given<T> {
  return Object.fromEntries(Object.entries(some).filter(([, value]) => value !== undefined)) as Given<T>;
}

/** A path can only be followed by the shell that knows files; here everything must be in place. */
function inPlace<T>(value: T | string | undefined, where: string, key: string): T | undefined {
  if (typeof value !== 'string') return value;
  throw new PartError({
    code: 'setup.path',
    where: `${where}: ${key}`,
    what: `the path "${value}" cannot be followed here`,
    remedy: 'put the content of that file in its place',
  });
}

function resolvedAxis(axis: NonNullable<SetupFile['axis']>): Setup['axis'] {
  if (axis === 'auto') return axis;
  const [x, y, z] = typeof axis === 'string' ? AXIS_VECTORS[axis] : axis;
  const largest = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
  // Scaled first, so that squares neither overflow nor vanish.
  const [u, v, w] = [x / largest, y / largest, z / largest];
  const length = Math.sqrt(u * u + v * v + w * w);
  return [u / length, v / length, w / length];
}

/** JSON Schema (2020-12) of a set-up file. */
export const setupJsonSchema = (): Record<string, unknown> =>
  publishedSchema(setupFileSchema, 'setup', 'Set-up of a survey');

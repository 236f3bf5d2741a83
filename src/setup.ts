import { MATERIALS } from './core/materials.js';
import { z } from 'zod';
import { checkInput } from './core/check-input.js';
import type { DeepReadonly } from './core/deep-readonly.js';
import { PartError } from './core/errors.js';
import { UNITS } from './core/units.js';
import {
  catalogueSchema,
  cutterSchema,
  cutterShape,
  resolveCatalogue,
  type CatalogueFile,
  type Cutter,
} from './cutter/catalogue.js';
import { DEFAULT_CATALOGUE } from './cutter/default-catalogue.js';
import { AXIS_VECTORS, LADDER_RULES, OPTION_DEFAULTS, type AxisWord, type Vector } from './setup-defaults.js';
import { cuttingDataSchema, PLACEHOLDER_CUTTING_DATA, type CuttingData } from './time/cutting-data.js';
import { machineSchema, PLACEHOLDER_MACHINE } from './time/machine.js';

const AXIS_WORDS = Object.keys(AXIS_VECTORS) as [AxisWord, ...AxisWord[]];
const finiteTriple = z.tuple([z.number(), z.number(), z.number()]);
const direction = finiteTriple.refine(
  (vector) => vector.some((value) => value !== 0),
  'a direction such as 0,0,1',
);
const stepMm = z.number().positive().max(1000);
const planPoint = z.tuple([z.number(), z.number()]);

/** Options that mean the same in a file and when resolved. Lengths mm, angles degrees, areas mm². */
const COMMON_FIELDS = {
  unit: z.enum(UNITS).nullable().describe('unit of the part file; null: what the format declares, else mm'),
  stand: z.boolean().describe('put the lowest point of the part on Z = 0'),
  splitDeg: z
    .union([z.number().min(0).max(90), z.literal('auto')])
    .describe('wall angle between shallow and overlap; auto: the fastest'),
  overlapDeg: z.number().min(0).max(45).describe('how far both passes overlap, degrees of wall angle'),
  overlapMm: z
    .number()
    .positive()
    .max(1000)
    .nullable()
    .describe(
      'how far both passes overlap, measured along the surface ' +
        'from the split to the steep side; overlapDeg is then 0; null: overlapDeg holds',
    ),
  toleranceMm: z.number().positive().max(10).describe('a cutter reaches what it misses by no more than this'),
  radiiMm: z.array(z.number().positive().max(500)).min(1).max(64).describe('ball radii to report reach for'),
  material: z.enum(MATERIALS).describe('work material group, ISO 513'),
  scallopMm: z.number().positive().max(1).describe('height of the ridge between neighbouring passes'),
  stepoverMm: stepMm.nullable().describe('sideways step of the raster pass; null: from the scallop height'),
  stepdownMm: stepMm.nullable().describe('step along Z of the waterline pass; null: from the scallop height'),
  stockMm: z.number().min(0).max(100).describe('allowance left on the part'),
  includeOutside: z.boolean().describe('count the outer sides of the block as steep'),
  minRegionMm2: z.number().min(0).describe('smaller islands are merged into their surroundings'),
  neckStepovers: z
    .number()
    .min(0)
    .max(100)
    .describe(
      "gaps and necks of the passes' outlines narrower than this many stepovers are closed and opened; 0: none",
    ),
  runOutMm: z
    .number()
    .min(0)
    .max(100)
    .describe('how far past its region the run-out outline lets the whole cutter leave'),
  blendShare: z
    .number()
    .min(0)
    .max(0.5)
    .describe(
      'the cutter before is taken larger by this share of its radius where ' +
        'the next one cleans up after it, so that its passes run out onto clean surface',
    ),
  noiseMm: z
    .union([z.number().min(0).max(1), z.literal('auto')])
    .describe(
      'what the points of a scanned surface stray by, ' +
        'root mean square; level and upright surface is told within it; auto: measured on the mesh; 0: nothing is settled',
    ),
  patches: z.boolean().describe('write the surface of each region as an STL file of its own'),
  partDate: z
    .string()
    .regex(/^\d{4}-\d{2}-\d{2}$/)
    .nullable()
    .describe("day of the part's file, for the title block of the drawings"),
  creaseDeg: z
    .number()
    .min(0)
    .max(180)
    .describe('facets that meet at more than this do not share a smooth surface'),
  ladderRule: z
    .enum(LADDER_RULES)
    .describe(
      'fastest: the cutters that together take least time; largest-first: the ' +
        'largest that reaches its share, then every smaller one that reaches more',
    ),
  firstCutterShare: z
    .number()
    .min(0)
    .max(1)
    .nullable()
    .describe(
      'share of the machinable area the first cutter must reach; null: 0.5 for the fastest, 0.9 for largest-first',
    ),
  rasterDirectionDeg: z
    .union([z.number().min(-360).max(360), z.literal('auto')])
    .describe('of the raster in plan, from +X towards +Y; auto: the one that takes least time'),
  holderClearanceMm: z.number().min(0).max(100).describe('air kept around neck, shank and holder'),
  preview: z.boolean().describe('draw the passes themselves, every so many, into passes-preview.svg'),
};

const withinRings = z
  .array(z.array(planPoint).min(3))
  .min(1)
  .nullable()
  .describe('closed rings in plan, mm, even-odd; only inside them work is counted; null: everywhere');

/** A file of its own, given in place or by its path (as seen from the set-up file). */
const inPlaceOrPath = <T extends z.ZodType>(schema: T) =>
  z.union([schema, z.string().min(1).describe('path')]);

/**
 * JSON of a set-up file; also the options given on a command line or by a program. Every key may be left out.
 */
export const setupFileSchema = z
  .strictObject({
    $schema: z.string(),
    ...COMMON_FIELDS,
    axis: z.union([z.enum(AXIS_WORDS), direction]).describe('direction in the file that becomes +Z'),
    within: inPlaceOrPath(withinRings),
    cutters: inPlaceOrPath(catalogueSchema),
    machine: inPlaceOrPath(machineSchema),
    cuttingData: inPlaceOrPath(cuttingDataSchema),
  })
  .partial();
export type SetupFile = z.infer<typeof setupFileSchema>;

/** Every option, resolved. */
export const setupSchema = z.strictObject({
  ...COMMON_FIELDS,
  axis: finiteTriple.describe('unit vector in the file that becomes +Z'),
  within: withinRings,
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
  ...OPTION_DEFAULTS,
  axis: [...OPTION_DEFAULTS.axis],
  within: null,
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
    cutters: catalogue,
    machine,
    cuttingData,
    ...rest
  } = {
    ...fromFile,
    ...fromOptions,
  };
  const catalogueFrom = fromOptions.cutters === undefined ? where : 'cutters';
  const cutters =
    catalogue === undefined
      ? SETUP_DEFAULTS.cutters
      : [...resolveCatalogue(inPlace<CatalogueFile>(catalogue, where, 'cutters'), catalogueFrom)];
  const own = ballRadiiMm(cutters);
  const given = Object.fromEntries(Object.entries(rest).filter(([, value]) => value !== undefined));
  const merged: Setup = {
    ...SETUP_DEFAULTS,
    radiiMm: own.length > 0 ? own : SETUP_DEFAULTS.radiiMm,
    ...given,
    axis: axis === undefined ? SETUP_DEFAULTS.axis : unitVector(axis),
    cutters,
    within: within === undefined ? SETUP_DEFAULTS.within : inPlace(within, where, 'within'),
    machine: machine === undefined ? SETUP_DEFAULTS.machine : inPlace(machine, where, 'machine'),
    cuttingData:
      cuttingData === undefined ? SETUP_DEFAULTS.cuttingData : inPlace(cuttingData, where, 'cuttingData'),
  };
  return {
    ...merged,
    overlapDeg: merged.overlapMm === null ? merged.overlapDeg : 0,
    radiiMm: [...new Set(merged.radiiMm)].sort((a, b) => a - b),
  };
}

/** A path can only be followed by the shell that knows files; here everything must be in place. */
function inPlace<T>(value: T | string, where: string, key: string): T {
  if (typeof value !== 'string') return value;
  throw new PartError({
    code: 'setup.path',
    where: `${where}: ${key}`,
    what: `the path "${value}" cannot be followed here`,
    remedy: 'put the content of that file in its place',
  });
}

function unitVector(axis: AxisWord | Vector): [number, number, number] {
  const [x, y, z] = typeof axis === 'string' ? AXIS_VECTORS[axis] : axis;
  const largest = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
  // Scaled first, so that squares neither overflow nor vanish.
  const [u, v, w] = [x / largest, y / largest, z / largest];
  const length = Math.sqrt(u * u + v * v + w * w);
  return [u / length, v / length, w / length];
}

/** JSON Schema (2020-12) of a set-up file. */
export function setupJsonSchema(): Record<string, unknown> {
  return {
    ...z.toJSONSchema(setupFileSchema, { io: 'input' }),
    $id: 'https://scarp.invalid/schema/setup-1.schema.json',
    title: 'Set-up of a survey, version 1',
  };
}

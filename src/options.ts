import type { z as Zod } from 'zod';
import { LEAST_MM } from './core/limits.js';
import { MATERIALS } from './core/materials.js';
import { lengthMm, UNIT_CHOICES } from './core/units.js';

/** How the finishing cutters are chosen. */
export const LADDER_RULES = ['fastest', 'largest-first'] as const;
export type LadderRule = (typeof LADDER_RULES)[number];
/** Share of what all cutters reach that the first must reach where the set-up says nothing. */
export const FIRST_SHARE: Readonly<Record<LadderRule, number>> = { fastest: 0.5, 'largest-first': 0.9 };

/** What finishes level floors and upright walls. */
export const FLAT_WORK = ['auto', 'ball'] as const;

/** More ball radii are not surveyed at once. */
export const MOST_RADII = 64;

/** Axis words, and the direction in the file's coordinates that each turns into +Z. */
export const AXIS_VECTORS = {
  '+z': [0, 0, 1],
  '-z': [0, 0, -1],
  '+x': [1, 0, 0],
  '-x': [-1, 0, 0],
  '+y': [0, 1, 0],
  '-y': [0, -1, 0],
} as const satisfies Record<string, readonly [number, number, number]>;
export type AxisWord = keyof typeof AXIS_VECTORS;
export const AXIS_WORDS = Object.keys(AXIS_VECTORS) as [AxisWord, ...AxisWord[]];

/** zod is handed to the rows by who needs their schemas, so that help, which does not, loads fast. */
type Z = typeof Zod;

/** What people type for an option; a length may carry a unit, a share a sign, 3%; a `file` is named. */
export type OptionKind =
  | 'length'
  | 'lengths'
  | 'length or auto'
  | 'number'
  | 'number or auto'
  | 'share'
  | 'choice'
  | 'axis'
  | 'switch'
  | 'day'
  | 'words'
  | 'file';

/** One option of a survey: all that command line, set-up file, page and report know of it. */
export interface OptionRow {
  readonly kind: OptionKind;
  /** option of the command line with what follows it, `--stock <mm>`; two keys may share one */
  readonly flag: string;
  /** how the command line reads that where it is not as the kind says */
  readonly reads?: 'overlap';
  /** what the set-up file's schema says of the key */
  readonly about: string;
  /** what help says where it is not the same */
  readonly help?: string;
  /** the default in help, where it is not the value itself */
  readonly defaultText?: string;
  /** on the page and in the report; absent where neither shows it */
  readonly label?: string;
  /** of a number or word; lengths are mm, or carry their own */
  readonly unit?: string;
  /** words of a `choice` */
  readonly choices?: readonly string[];
}

type Schema<S extends Zod.ZodType> = { readonly schema: (z: Z) => S };
/** A row with its schema, and the default that fits it. */
const option = <S extends Zod.ZodType, R extends OptionRow>(
  row: R & Schema<S> & { readonly default: Zod.infer<S> },
) => row;
/** A row whose default follows from other options. */
const following = <S extends Zod.ZodType, R extends OptionRow>(row: R & Schema<S>) => row;

const SWITCH = { kind: 'switch', schema: (z: Z) => z.boolean() } as const;
const triple = (z: Z) => z.tuple([z.number(), z.number(), z.number()]);
const positive = (z: Z, most: number) => z.number().positive().min(LEAST_MM).max(most);
/** Cutters by their ids, in order of use. */
const ids = (z: Z) => z.union([z.literal('auto'), z.array(z.string().min(1).max(80)).max(6)]);
const range = (z: Z, least: number, most: number) => z.number().min(least).max(most);

/**
 * Options whose value stands in the set-up itself. Lengths mm, angles degrees, areas mm². In files their keys
 * come in this order.
 */
const VALUES = {
  unit: option({
    kind: 'choice',
    choices: UNIT_CHOICES,
    schema: (z) => z.enum(UNIT_CHOICES).nullable(),
    default: null,
    flag: '--unit <unit>',
    label: 'Unit of the file',
    about:
      'unit of the part file; null: what the file or its format says, else mm; auto: the same, else what ' +
      'its size makes likely',
    help: 'unit of the part file: mm, cm, m, in, or auto: guessed from its size where the file states none',
    defaultText: 'what the file or its format says, else mm',
  }),
  stand: option({
    ...SWITCH,
    default: true,
    flag: '--no-stand',
    label: 'Lowest point on Z = 0',
    about: 'put the lowest point of the part on Z = 0',
    help: 'leave the height as it is in the file, do not put the lowest point on Z = 0',
  }),
  splitDeg: option({
    kind: 'number or auto',
    schema: (z) => z.union([range(z, 0, 90), z.literal('auto')]),
    // There equal steps give equal scallops.
    default: 45,
    flag: '--split <deg>',
    label: 'Split',
    unit: '°',
    about: 'wall angle between shallow and overlap; auto: the fastest',
    help: 'wall angle between shallow and overlap, or auto for the fastest',
  }),
  overlapDeg: option({
    kind: 'number',
    schema: (z) => range(z, 0, 45),
    // Common practice, no source.
    default: 3,
    flag: '--overlap <deg|length>',
    reads: 'overlap',
    label: 'Overlap',
    unit: '°',
    about: 'how far both passes overlap, degrees of wall angle',
    help:
      'how far both passes overlap: degrees of wall angle, or with a unit, 2mm, a ' +
      'distance along the surface',
  }),
  overlapMm: option({
    kind: 'length',
    schema: (z) => positive(z, 1000).nullable(),
    default: null,
    flag: '--overlap',
    label: 'Overlap along the surface',
    about:
      'how far both passes overlap, measured along the surface ' +
      'from the split to the steep side; overlapDeg is then 0; null: overlapDeg holds',
  }),
  toleranceMm: option({
    kind: 'length',
    schema: (z) => positive(z, 10),
    default: 0.02,
    flag: '--tolerance <mm>',
    label: 'Tolerance',
    about: 'a cutter reaches what it misses by no more than this',
    help: 'a cutter reaches what it misses by no more',
  }),
  radiiMm: following({
    kind: 'lengths',
    schema: (z) => z.array(positive(z, 500)).min(1).max(MOST_RADII),
    flag: '--radii <list>',
    label: 'Ball radii to report',
    about: 'ball radii to report reach for',
    help: 'ball radii to report reach for, e.g. 1,2,3mm',
    defaultText: 'those of the cutters',
  }),
  material: option({
    kind: 'choice',
    choices: MATERIALS,
    schema: (z) => z.enum(MATERIALS),
    default: 'P',
    flag: '--material <letter>',
    label: 'Work material',
    unit: 'ISO 513',
    about: 'work material group, ISO 513',
    help: 'work material, ISO 513: P M K N S H',
  }),
  scallopMm: option({
    kind: 'length',
    schema: (z) => positive(z, 1),
    default: 0.005,
    flag: '--scallop <mm>',
    label: 'Scallop height',
    about: 'height of the ridge between neighbouring passes',
    help: 'ridge height between neighbouring passes',
  }),
  stepoverMm: option({
    kind: 'length',
    schema: (z) => positive(z, 1000).nullable(),
    default: null,
    flag: '--stepover <mm>',
    label: 'Stepover',
    about: 'sideways step of the raster pass; null: from the scallop height',
    help: 'sideways step, instead of the scallop height',
  }),
  stepdownMm: option({
    kind: 'length',
    schema: (z) => positive(z, 1000).nullable(),
    default: null,
    flag: '--stepdown <mm>',
    label: 'Stepdown',
    about: 'step along Z of the waterline pass; null: from the scallop height',
    help: 'step along Z, instead of the scallop height',
  }),
  stockMm: option({
    kind: 'length',
    schema: (z) => range(z, 0, 100),
    default: 0,
    flag: '--stock <mm>',
    label: 'Stock left on',
    about: 'allowance left on the part',
  }),
  includeOutside: option({
    ...SWITCH,
    default: false,
    flag: '--include-outside',
    label: 'Count the outer sides as steep',
    about: 'count the outer sides of the block as steep',
  }),
  minDraftDeg: option({
    kind: 'number',
    schema: (z) => range(z, 0, 45).nullable(),
    default: null,
    flag: '--min-draft <deg>',
    label: 'Least draft',
    unit: '°',
    about:
      'draft that walls need for a moulding to leave: walls with less, and undercuts, are listed; null: not asked',
    help: 'list walls with less draft than this, and undercuts: what keeps a moulding from leaving',
    defaultText: 'not asked',
  }),
  drilledUpToMm: option({
    kind: 'length',
    schema: (z) => range(z, 0, 1000),
    default: 0,
    flag: '--drilled-up-to <mm>',
    label: 'Holes drilled up to',
    about: 'round upright holes up to this diameter are drilled, reamed or bored, and not finished; 0: none',
    help: 'leave round upright holes up to this diameter to the drill: their walls and bottoms are not finished',
  }),
  minRegionMm2: option({
    kind: 'number',
    schema: (z) => z.number().min(0),
    default: 0.25,
    flag: '--min-region <mm2>',
    label: 'Least region',
    unit: 'mm²',
    about: 'smaller islands are merged into their surroundings',
    help: 'merge smaller islands into their surroundings',
  }),
  neckStepovers: option({
    kind: 'number',
    schema: (z) => range(z, 0, 100),
    default: 0,
    flag: '--necks <stepovers>',
    label: 'Close necks',
    unit: 'stepovers',
    about:
      "gaps and necks of the passes' outlines narrower than this many stepovers are closed and opened; 0: none",
    help: "close gaps and open necks of the passes' outlines narrower than this many stepovers",
  }),
  leastRingShare: option({
    kind: 'share',
    schema: (z) => range(z, 0, 0.5),
    // Common practice, no source: what a cutter takes away while it comes to speed.
    default: 0.005,
    flag: '--least-ring <share>',
    label: 'Narrowest piece of an outline',
    unit: 'share of DC',
    about:
      'pieces of an outline narrower on average than this share of DC, or smaller than a square 20 times as wide, are ' +
      'left out, and such holes filled; 0: none',
    help:
      'leave out pieces of an outline narrower on average than this share of DC, or smaller than a square 20 times ' +
      'as wide',
  }),
  runOutMm: option({
    kind: 'length',
    schema: (z) => range(z, 0, 100),
    // Common practice, no source.
    default: 0.5,
    flag: '--run-out <mm>',
    label: 'Run-out',
    about: 'how far past its region the run-out outline lets the whole cutter leave',
    help: 'how far past its region a whole cutter leaves',
  }),
  blendShare: option({
    kind: 'share',
    schema: (z) => range(z, 0, 0.5),
    // 0.02 to 0.05 is common practice, no source.
    default: 0.03,
    flag: '--blend <share>',
    label: 'Blend',
    unit: 'share of the radius',
    about:
      'the cutter before is taken larger by this share of its radius where ' +
      'the next one cleans up after it, so that its passes run out onto clean surface',
    help: 'share of its radius by which the cutter before is taken larger when the next one cleans up after it',
  }),
  noiseMm: option({
    kind: 'length or auto',
    schema: (z) => z.union([range(z, 0, 1), z.literal('auto')]),
    default: 'auto',
    flag: '--noise <mm>',
    label: 'Noise of the points',
    about:
      'what the points of a scanned surface stray by, ' +
      'root mean square; level and upright surface is told within it; auto: measured on the mesh; 0: nothing is settled',
    help:
      'what the points of a scan stray by, root mean square, auto to measure it, 0 to take each ' +
      'facet at its word',
  }),
  patches: option({
    ...SWITCH,
    default: false,
    flag: '--patches',
    label: 'Write each region as STL',
    about: 'write the surface of each region as an STL file of its own',
  }),
  partDate: option({
    kind: 'day',
    schema: (z) =>
      z
        .string()
        .regex(/^\d{4}-\d{2}-\d{2}$/)
        // Validators of JSON Schema need not know the format, so the pattern stands for it there.
        .refine((day) => z.iso.date().safeParse(day).success, 'a day such as 2026-03-01')
        .nullable(),
    default: null,
    flag: '--part-date <day>',
    about: "day of the part's file, for the title block of the drawings",
    help: 'day for the title block of the drawings, YYYY-MM-DD',
    defaultText: 'that of the file',
  }),
  creaseDeg: option({
    kind: 'number',
    schema: (z) => range(z, 0, 180),
    default: 35,
    flag: '--crease <deg>',
    label: 'Crease angle',
    unit: '°',
    about: 'facets that meet at more than this do not share a smooth surface',
    help: 'facets that meet at more are not one smooth surface',
  }),
  ladderRule: option({
    kind: 'choice',
    choices: LADDER_RULES,
    schema: (z) => z.enum(LADDER_RULES),
    default: 'fastest',
    flag: '--ladder <rule>',
    label: 'Choice of cutters',
    about:
      'fastest: the cutters that together take least time; largest-first: the ' +
      'largest that reaches its share, then every smaller one that reaches more',
    help: `how cutters are chosen: ${LADDER_RULES.join(' or ')}`,
  }),
  firstCutterShare: option({
    kind: 'share',
    schema: (z) => range(z, 0, 1).nullable(),
    default: null,
    flag: '--first-share <share>',
    label: 'Least reach of the first cutter',
    unit: 'share of the area',
    about:
      'share of what the cutters reach that the first must; null: 0.5 for the fastest, 0.9 for largest-first',
    help: 'share of what the cutters reach that the first must reach',
    defaultText: `${FIRST_SHARE.fastest}, largest-first ${FIRST_SHARE['largest-first']}`,
  }),
  leastGainMinutes: option({
    kind: 'number',
    schema: (z) => range(z, 0, 1e4),
    // Common practice, no source.
    default: 0.5,
    flag: '--least-gain <min>',
    label: 'Least gain of a further cutter',
    unit: 'min',
    about:
      'with the fastest ladder a further cutter must make finishing shorter by as much, its change counted: for ' +
      'fetching, setting and measuring it',
    help: 'minutes that a further cutter must save, its change counted (common practice)',
  }),
  floors: option({
    kind: 'choice',
    choices: FLAT_WORK,
    schema: (z) => z.enum(FLAT_WORK),
    default: 'auto',
    flag: '--floors <cutters>',
    label: 'Level floors',
    about: 'auto: flat and bull-nose cutters finish level floors where that is quicker; ball: ball-noses do',
    help: 'what finishes level floors: auto, flat and bull-nose cutters where that is quicker, or ball',
  }),
  walls: option({
    kind: 'choice',
    choices: FLAT_WORK,
    schema: (z) => z.enum(FLAT_WORK),
    default: 'auto',
    flag: '--walls <cutters>',
    label: 'Upright walls',
    about: 'auto: flat and bull-nose cutters finish upright walls where that is quicker; ball: ball-noses do',
    help: 'what finishes upright walls: auto, flat and bull-nose cutters where that is quicker, or ball',
  }),
  floorStepShare: option({
    kind: 'share',
    schema: (z) => range(z, 0.01, 1),
    // Common practice, no source.
    default: 0.7,
    flag: '--floor-step <share>',
    label: 'Side step on floors',
    unit: 'share of DC - 2 RE',
    about: 'side step of flat and bull-nose cutters on floors, a share of their flat end, DC - 2 RE',
    help: 'side step on floors, a share of the flat end, DC - 2 RE (common practice)',
  }),
  wallStepShare: option({
    kind: 'share',
    schema: (z) => range(z, 0.01, 1),
    // Common practice, no source.
    default: 0.5,
    flag: '--wall-step <share>',
    label: 'Axial step on walls',
    unit: 'share of APMX',
    about: 'axial step of flat and bull-nose cutters along walls, a share of their cutting length, APMX',
    help: 'axial step along walls, a share of the cutting length, APMX (common practice)',
  }),
  constantSpacingMm2: option({
    kind: 'number',
    schema: (z) => range(z, 0, 1e9),
    // Common practice, no source.
    default: 500,
    flag: '--constant-spacing <mm2>',
    label: 'Largest patch cut at constant spacing',
    unit: 'mm²',
    about:
      'connected curved patches up to this area are cut by lines at one distance along the surface, where that is ' +
      'faster than waterline and raster or these would lay a few lines each; 0: none',
    help: 'cut curved patches up to this area at constant spacing where that is faster; 0: none (common practice)',
  }),
  rasterDirectionDeg: option({
    kind: 'number or auto',
    schema: (z) => z.union([range(z, -360, 360), z.literal('auto')]),
    default: 'auto',
    flag: '--raster-direction <deg>',
    label: 'Raster direction',
    unit: '°',
    about: 'of the raster in plan, from +X towards +Y; auto: the one that takes least time',
    help: 'direction of the raster in plan, from +X towards +Y, or auto for the fastest',
  }),
  holderClearanceMm: option({
    kind: 'length',
    schema: (z) => range(z, 0, 100),
    default: 0.5,
    flag: '--holder-clearance <mm>',
    label: 'Air round the holder',
    about: 'air kept around neck, shank and holder',
  }),
  mostLengthToDiameter: option({
    kind: 'number',
    schema: (z) => positive(z, 1000),
    // Common practice, no source.
    default: 10,
    flag: '--max-ld <ratio>',
    label: 'Longest cutters, L/D',
    unit: '× DC',
    about:
      'places where the largest cutter that gets in would have to stick out more than so many times DC are not planned, ' +
      'but listed with what they need (common practice)',
    help: 'plan no place where the largest cutter that gets in sticks out more than so many times DC (common practice)',
  }),
  preview: option({
    ...SWITCH,
    default: false,
    flag: '--preview',
    label: 'Draw the passes themselves',
    about: 'draw the passes themselves, every so many, into passes-preview.svg',
    help: 'draw the passes themselves, every so many, as an SVG file',
  }),
  blockAllowanceMm: option({
    kind: 'lengths',
    schema: (z) =>
      z
        .array(range(z, 0, 1000))
        .min(1)
        .max(2),
    // Common practice, no source: blocks are squared to size, and faced on top.
    default: [1, 0],
    flag: '--block-allowance <list>',
    label: 'Allowance of the block',
    about: 'what a box or cylinder stands over the part, and if a second is given beside it, on each side',
    help: 'what a box or cylinder stands over the part, and beside it on each side: TOP or TOP,SIDES',
    defaultText: '1,0mm',
  }),
  rough: option({
    kind: 'words',
    schema: ids,
    default: 'auto',
    flag: '--rough <ids>',
    label: 'Roughing cutters',
    about:
      'flat or bull-nose cutters that rough, in order of use; auto: the largest that clears its share, then what saves ' +
      'time; empty: nothing is roughed',
    help: 'flat or bull-nose cutters that rough, ID or ID,ID in order of use, auto, or none: a block near its shape',
  }),
  roughShare: option({
    kind: 'share',
    schema: (z) => range(z, 0, 1),
    // Common practice, no source.
    default: 0.8,
    flag: '--rough-share <share>',
    label: 'Share of the first rougher',
    unit: 'share of the volume',
    about: 'share of what any rougher clears that the first must clear (common practice)',
  }),
  roughStockMm: option({
    kind: 'length',
    schema: (z) => range(z, 0, 100).nullable(),
    default: null,
    flag: '--rough-stock <mm>',
    label: 'Stock left by roughing',
    about: 'allowance that roughing leaves; null: roughStockShare of the first rougher',
    help: 'allowance that roughing leaves',
    defaultText: 'a share of the first rougher',
  }),
  roughStockShare: option({
    kind: 'share',
    schema: (z) => range(z, 0, 0.5),
    // Common practice, no source.
    default: 0.03,
    flag: '--rough-stock-share <share>',
    label: 'Stock left by roughing',
    unit: 'share of DC',
    about: 'allowance that roughing leaves where roughStockMm is null (common practice)',
    help: 'allowance that roughing leaves, as a share of DC (common practice)',
  }),
  roughStepoverShare: option({
    kind: 'share',
    schema: (z) => range(z, 0.01, 1),
    // Common practice, no source.
    default: 0.5,
    flag: '--rough-stepover <share>',
    label: 'Stepover of roughing',
    unit: 'share of DC',
    about: 'sideways step of roughing (common practice)',
  }),
  roughStepdownShare: option({
    kind: 'share',
    schema: (z) => range(z, 0.01, 3),
    // Common practice, no source.
    default: 0.1,
    flag: '--rough-stepdown <share>',
    label: 'Stepdown of roughing',
    unit: 'share of DC',
    about: 'greatest step between the slices of roughing, never more than APMX (common practice)',
  }),
  semi: option({
    kind: 'words',
    schema: ids,
    default: 'auto',
    flag: '--semi <ids>',
    label: 'Semi-finishing cutters',
    about:
      'straight ball-nose cutters that semi-finish, the first over all, the others in its corners; auto: the first ' +
      'finisher, and those of the ladder where too much stands; empty: nothing is semi-finished',
    help: 'ball-nose cutters that semi-finish: ID over all, further ones in its corners; auto, or none',
  }),
  semiStockMm: option({
    kind: 'length',
    schema: (z) => range(z, 0.001, 10),
    // Common practice, no source.
    default: 0.1,
    flag: '--semi-stock <mm>',
    label: 'Stock left by semi-finishing',
    about: 'allowance that semi-finishing leaves for finishing (common practice)',
  }),
  semiScallopMm: option({
    kind: 'length',
    schema: (z) => positive(z, 5).nullable(),
    default: null,
    flag: '--semi-scallop <mm>',
    label: 'Scallop of semi-finishing',
    about:
      'height of the ridge between passes of semi-finishing; null: half of what it leaves (common practice)',
    help: 'ridge height between passes of semi-finishing (common practice)',
    defaultText: 'half of its stock',
  }),
  mostThickness: option({
    kind: 'number',
    schema: (z) => range(z, 1, 100),
    // Common practice, no source.
    default: 3,
    flag: '--most-thickness <times>',
    label: 'Thickest left for the next stage',
    unit: '× what it should take',
    about:
      'where a stage leaves more than so many times what the next should take, a finding says so (common practice)',
  }),
  axis: option({
    kind: 'axis',
    schema: (z) =>
      z.union([
        z.enum([...AXIS_WORDS, 'auto']),
        triple(z).refine((vector) => vector.some((value) => value !== 0), 'a direction such as 0,0,1'),
      ]),
    default: '+z',
    flag: '--axis <axis>',
    label: 'Tool axis in the file',
    about: 'direction in the file that becomes +Z; auto: the one from which most of the part can be cut',
    help: 'tool axis in the file: +z -z +x -x +y -y or X,Y,Z, or auto for the best way up',
  }),
};

/** Options that a file of its own holds; the set-up names it or has its content in place. */
const FILES = {
  within: {
    kind: 'file',
    flag: '--within <svg>',
    label: 'Work limited to',
    about: 'closed rings in plan, mm, even-odd; only inside them work is counted; null: everywhere',
    help: 'count work only inside these plan outlines; FILE.svg#ID: only that group of them',
  },
  block: {
    kind: 'file',
    flag: '--block <block>',
    label: 'Block',
    about:
      'what the part is cut from: box or cylinder about it with blockAllowanceMm, a box of that size, [X, Y, Z], that ' +
      'stands on its lowest level, or a mesh in the coordinates of the part',
    help: 'what the part is cut from: box, box:X,Y,Z, cylinder, or a mesh file in the coordinates of the part',
    defaultText: 'box',
  },
  cutters: {
    kind: 'file',
    flag: '--cutters <file>',
    label: 'Cutters',
    about: 'cutter catalogue, JSON',
    defaultText: 'ball-nose cutters DC 1 to 20 and flat ones DC 4 to 16, placeholders',
  },
  machine: {
    kind: 'file',
    flag: '--machine <file>',
    label: 'Machine',
    about: 'machine, JSON',
    defaultText: 'a placeholder',
  },
  cuttingData: {
    kind: 'file',
    flag: '--cutting-data <file>',
    label: 'Cutting data',
    about: 'cutting speeds and feeds, JSON',
    defaultText: 'placeholders',
  },
} satisfies Record<string, OptionRow>;

/** Every option of a survey by its key in a set-up file. */
export const OPTIONS = { ...VALUES, ...FILES };
export type OptionKey = keyof typeof OPTIONS;
/** What people type for cutters: auto, none, or ids. */
export const idsTyped = (text: string): 'auto' | string[] =>
  text === 'auto'
    ? text
    : text
        .split(/[,;]/)
        .map((id) => id.trim())
        .filter((id) => id !== '' && id !== 'none');

/**
 * What people type for the block, `box`, `cylinder` or `box:X,Y,Z`; null: the name of a file.
 *
 * @returns of a box that cannot be read its text
 */
export function blockTyped(
  text: string,
): 'box' | 'cylinder' | [number, number, number] | { readonly unread: string } | null {
  const word = (['box', 'cylinder'] as const).find((one) => one === text.toLowerCase());
  const [, sides] = /^box:(.*)$/i.exec(text) ?? [];
  if (word !== undefined || sides === undefined) return word ?? null;
  const [x = NaN, y = NaN, z = NaN, ...more] = sides.split(sides.includes(';') ? ';' : ',').map(lengthMm);
  return more.length === 0 && [x, y, z].every((mm) => mm > 0) ? [x, y, z] : { unread: text };
}

/** What may be asked of any row. */
export const optionRow = (key: OptionKey): OptionRow & { readonly default?: unknown } => OPTIONS[key];

/** How any command reads a part; people are asked this first. */
export const PLACEMENT_KEYS = ['unit', 'axis', 'stand'] as const satisfies readonly OptionKey[];
/** All others, in the order in which people see them. */
export const OTHER_KEYS = (Object.keys(OPTIONS) as OptionKey[]).filter(
  (key) => !PLACEMENT_KEYS.some((one) => one === key),
);

type Schemas = { [K in keyof typeof VALUES]: ReturnType<(typeof VALUES)[K]['schema']> };

/** Schemas of the options that stand in the set-up itself, as a set-up file may hold them. */
export function valueSchemas(z: Z): Schemas {
  const made = Object.entries(VALUES).map(([key, { schema, about }]) => [key, schema(z).describe(about)]);
  // What `fromEntries` cannot tell: each key has the schema of its own row.
  return Object.fromEntries(made) as Schemas;
}

/** The defaults of all rows that have one. */
export function valueDefaults(): Omit<{ [K in keyof Schemas]: Zod.infer<Schemas[K]> }, 'radiiMm'> {
  const { radiiMm: _followsTheCutters, ...rows } = VALUES;
  return Object.fromEntries(Object.entries(rows).map(([key, row]) => [key, row.default])) as ReturnType<
    typeof valueDefaults
  >;
}

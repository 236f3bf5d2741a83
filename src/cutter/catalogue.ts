import { z } from 'zod';
import { checkInput, publishedSchema, shownText } from '../core/check-input.js';
import type { DeepReadonly } from '../core/deep-readonly.js';
import { PartError } from '../core/errors.js';

/** What a cutter is meant for. */
export const STAGES = ['rough', 'semi-finish', 'finish'] as const;
export type Stage = (typeof STAGES)[number];

/** Of anything, in any currency. */
const MOST_COST = 1e9;
/** Catalogues are written to a thousandth of a millimetre. */
const positiveMm = z.number().positive().min(0.001).max(1000);

const holderPartSchema = z
  .strictObject({
    diameterMm: positiveMm.describe('diameter at the end nearest the cutter'),
    lengthMm: positiveMm,
    topDiameterMm: positiveMm
      .optional()
      .describe('diameter at the other end; the same if absent: a cylinder'),
  })
  .describe('one cylinder or cone of the holder, from the cutter end upwards');

const cutterFileSchema = z.strictObject({
  id: shownText().min(1).max(80).describe('unique within the catalogue'),
  DC: positiveMm.describe('ISO 13399 cutting diameter, mm; of a tapered ball-nose: the diameter of its ball'),
  RE: z
    .number()
    .min(0)
    .max(500)
    .describe('ISO 13399 corner radius, mm: DC/2 for a ball-nose, 0 for a flat end'),
  APMX: positiveMm.describe('ISO 13399 greatest depth of cut, mm: length of the cutting edge'),
  LU: positiveMm.describe('ISO 13399 usable length, mm: from the tip to where the neck ends'),
  DN: positiveMm.optional().describe('ISO 13399 neck diameter, mm; absent: as DC'),
  DMM: positiveMm.optional().describe('ISO 13399 shank diameter, mm; absent: as DC'),
  NOF: z.int().min(1).max(20).describe('ISO 13399 number of flutes'),
  taperHalfAngleDeg: z
    .number()
    .min(0)
    .max(30)
    .optional()
    .describe('angle between the flank and the axis of a tapered ball-nose, degrees; absent or 0: straight'),
  holder: z
    .array(holderPartSchema)
    .max(20)
    .optional()
    .describe('from the cutter end upwards; absent: not checked'),
  wearCostPerMinute: z
    .number()
    .min(0)
    .max(MOST_COST)
    .optional()
    .describe('in the currency of the machine file'),
  stages: z.array(z.enum(STAGES)).optional().describe('what it is meant for; absent: anything'),
  placeholder: z.boolean().optional().describe('true: the figures stand in for those of a real cutter'),
});

/** JSON of a catalogue file, and of the key `cutters` of a set-up file. */
export const catalogueSchema = z.strictObject({
  $schema: z.string().optional(),
  version: z.literal(1),
  cutters: z.array(cutterFileSchema).min(1).max(500),
});
export type CatalogueFile = z.infer<typeof catalogueSchema>;

/** A cutter with every length known; symbols of ISO 13399, mm. */
export const cutterSchema = z.strictObject({
  ...cutterFileSchema.required({ DN: true, DMM: true, taperHalfAngleDeg: true }).shape,
  holder: z.array(holderPartSchema.required()),
  wearCostPerMinute: z.number().min(0).max(MOST_COST).nullable(),
  stages: z.array(z.enum(STAGES)),
  placeholder: z.boolean(),
});
export type Cutter = DeepReadonly<z.infer<typeof cutterSchema>>;
export type HolderPart = Cutter['holder'][number];

export const CUTTER_SHAPES = ['ball', 'flat', 'bull-nose', 'tapered-ball'] as const;
export type CutterShape = (typeof CUTTER_SHAPES)[number];

/** Lengths that agree within this are the same cutter dimension: a catalogue is written to 0.001 mm. */
const SAME_MM = 5e-4;

/** Shape of the cutting end. Ball: RE = DC/2. Flat: RE = 0. Bull-nose: between. Tapered: a ball on a cone. */
export function cutterShape(cutter: Pick<Cutter, 'DC' | 'RE' | 'taperHalfAngleDeg'>): CutterShape {
  if (cutter.taperHalfAngleDeg > 0) return 'tapered-ball';
  if (cutter.RE === 0) return 'flat';
  return Math.abs(cutter.RE - cutter.DC / 2) <= SAME_MM ? 'ball' : 'bull-nose';
}

/** Whether a cutter may finish: a catalogue that tells what it is meant for names it. */
export const mayFinish = ({ stages }: Pick<Cutter, 'stages'>): boolean =>
  stages.length === 0 || stages.includes('finish');

/**
 * Checks a catalogue and fills in what it leaves out.
 *
 * @param where file name for messages
 * @returns cutters in the order of the file; RE of a ball is exactly DC/2
 * @throws {PartError} `cutters.unknown-key`, `cutters.invalid`, or `cutters.impossible` naming the cutter
 */
export function resolveCatalogue(value: unknown, where: string): readonly Cutter[] {
  const file = checkInput(catalogueSchema, value, where, 'cutters');
  const seen = new Set<string>();
  return file.cutters.map((entry) => {
    if (seen.has(entry.id))
      fail(where, entry.id, 'the id is used twice', 'give each cutter an id of its own');
    seen.add(entry.id);
    return resolveCutter(entry, where);
  });
}

/**
 * A catalogue file as it stands, once every cutter in it has passed the checks.
 *
 * @throws {PartError} as `resolveCatalogue`
 */
export function readCatalogue(value: unknown, where: string): CatalogueFile {
  resolveCatalogue(value, where);
  return checkInput(catalogueSchema, value, where, 'cutters');
}

function resolveCutter(entry: CatalogueFile['cutters'][number], where: string): Cutter {
  const { id, DC, APMX, LU, NOF } = entry;
  const taperHalfAngleDeg = entry.taperHalfAngleDeg ?? 0;
  const DN = entry.DN ?? DC;
  const isBall = Math.abs(entry.RE - DC / 2) <= SAME_MM;
  if (!isBall && entry.RE > DC / 2) {
    fail(where, id, `RE ${entry.RE} is more than half of DC ${DC}`, 'a corner radius is at most DC/2');
  }
  if (taperHalfAngleDeg > 0 && !isBall) {
    fail(where, id, `a tapered cutter with RE ${entry.RE} and DC ${DC}`, 'a tapered ball-nose has RE = DC/2');
  }
  if (LU < APMX)
    fail(where, id, `LU ${LU} is less than APMX ${APMX}`, 'the usable length includes the cutting edge');
  if (taperHalfAngleDeg === 0 && DN > DC + SAME_MM) {
    fail(
      where,
      id,
      `DN ${DN} is more than DC ${DC}`,
      'a neck is no thicker than the cutting edge; the shank is DMM',
    );
  }
  return {
    id,
    DC,
    RE: isBall ? DC / 2 : entry.RE,
    APMX,
    LU,
    DN,
    DMM: entry.DMM ?? DC,
    NOF,
    taperHalfAngleDeg,
    holder: (entry.holder ?? []).map((part) => ({
      ...part,
      topDiameterMm: part.topDiameterMm ?? part.diameterMm,
    })),
    wearCostPerMinute: entry.wearCostPerMinute ?? null,
    stages: entry.stages ?? [],
    placeholder: entry.placeholder ?? false,
  };
}

function fail(where: string, id: string, what: string, remedy: string): never {
  throw new PartError({ code: 'cutters.impossible', where: `${where}: cutter "${id}"`, what, remedy });
}

/** JSON Schema (2020-12) of a catalogue file. */
export const catalogueJsonSchema = (): Record<string, unknown> =>
  publishedSchema(catalogueSchema, 'cutters', 'Cutter catalogue');

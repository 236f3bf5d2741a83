import { z } from 'zod';
import { checkInput, publishedSchema } from '../core/check-input.js';
import { PartError } from '../core/errors.js';
import { finding, type Finding } from '../core/findings.js';
import { MATERIALS, type Material } from '../core/materials.js';
import { STAGES, type Stage } from '../cutter/catalogue.js';
import type { CuttingSpeed } from './cutting-speed.js';

const positive = z.number().positive().min(1e-6);
const rowSchema = z.strictObject({
  group: z.enum(MATERIALS).describe('work material, ISO 513'),
  stage: z.enum(STAGES),
  DC: positive.max(1000).describe('ISO 13399 cutting diameter the row is for, mm'),
  vcMPerMin: positive.max(10_000).describe('cutting speed at the largest engaged diameter'),
  fzMm: positive.max(10).describe('feed per tooth'),
});

/** JSON of a cutting-data file. */
export const cuttingDataSchema = z.strictObject({
  $schema: z.string().optional(),
  version: z.literal(1),
  placeholder: z.boolean().optional().describe('true: the figures stand in for those of the cutter maker'),
  fzMeans: z
    .enum(['programmed', 'chip-thickness'])
    .default('programmed')
    .describe('chip-thickness: the feed is raised for small sideways steps so that the chip gets that thick'),
  rows: z.array(rowSchema).min(1).max(5000),
});
export type CuttingData = Readonly<z.infer<typeof cuttingDataSchema>>;

/**
 * Cutting data from the parsed JSON of a file.
 *
 * @throws {PartError} `cutting-data.unknown-key`, `cutting-data.invalid`
 */
export const readCuttingData = (json: unknown, where: string): CuttingData =>
  checkInput(cuttingDataSchema, json, where, 'cutting-data');

/** Of the placeholder data by group: cutting speed when finishing, and feed per tooth over the diameter; invented. */
const PLACEHOLDERS: Readonly<Record<Material, { readonly vcMPerMin: number; readonly fzPerDC: number }>> = {
  P: { vcMPerMin: 180, fzPerDC: 0.01 },
  M: { vcMPerMin: 90, fzPerDC: 0.007 },
  K: { vcMPerMin: 160, fzPerDC: 0.011 },
  N: { vcMPerMin: 300, fzPerDC: 0.014 },
  S: { vcMPerMin: 50, fzPerDC: 0.006 },
  H: { vcMPerMin: 120, fzPerDC: 0.007 },
};
const STAGE_SHARE: Readonly<Record<Stage, number>> = { rough: 0.75, 'semi-finish': 0.9, finish: 1 };

/**
 * Stand-in cutting data, so that a survey can run before the user has given any. Invented, not anybody's
 * advice: the result carries a warning as long as they are in use.
 */
export const PLACEHOLDER_CUTTING_DATA: CuttingData = {
  version: 1,
  placeholder: true,
  fzMeans: 'programmed',
  rows: MATERIALS.flatMap((group) =>
    STAGES.flatMap((stage) =>
      [0.5, 1, 2, 4, 6, 10, 16, 25].map((DC) => ({
        group,
        stage,
        DC,
        vcMPerMin: Math.round(PLACEHOLDERS[group].vcMPerMin * STAGE_SHARE[stage]),
        fzMm: Number((PLACEHOLDERS[group].fzPerDC * Math.min(DC, 12)).toFixed(5)),
      })),
    ),
  ),
};

/**
 * vc and fz for a material, stage and diameter: straight-line between the rows next in diameter, the nearest
 * row's outside their range, the nearest stage's where the asked one has no rows. Each such help is a
 * finding.
 *
 * @param cutterDC mm
 * @throws {PartError} `cutting-data.no-rows` if the group has no row at all
 */
export function cuttingDataFor(
  data: CuttingData,
  group: Material,
  stage: Stage,
  cutterDC: number,
): CuttingSpeed & { readonly findings: readonly Finding[] } {
  const findings: Finding[] = [];
  const note = (code: string, message: string): void => {
    findings.push(finding(`cutting-data.${code}`, 'warning', message));
  };
  if (data.placeholder) {
    note('placeholder', 'Cutting speeds and feeds are placeholders: times and costs need your own data.');
  }
  const used = stageWithRows(data, group, stage);
  if (used !== stage) {
    note('other-stage', `No rows for group ${group}, ${stage}: those for ${used} are used.`);
  }
  const rows = data.rows
    .filter((row) => row.group === group && row.stage === used)
    .sort((a, b) => a.DC - b.DC);
  const first = rows[0],
    last = rows[rows.length - 1];
  if (cutterDC < first.DC || cutterDC > last.DC) {
    note(
      'outside-rows',
      `Diameter ${cutterDC} mm lies outside the rows for ${group}, ${used} ` +
        `(${first.DC} to ${last.DC} mm): the nearest row is used.`,
    );
  }
  const upper = rows.find((row) => row.DC >= cutterDC) ?? last;
  const lower = rows.findLast((row) => row.DC <= cutterDC) ?? first;
  const share = upper.DC > lower.DC ? (cutterDC - lower.DC) / (upper.DC - lower.DC) : 0;
  const between = (a: number, b: number): number => a + (b - a) * share;
  return {
    vcMPerMin: between(lower.vcMPerMin, upper.vcMPerMin),
    fzMm: between(lower.fzMm, upper.fzMm),
    fzMeans: data.fzMeans,
    findings,
  };
}

/** The asked stage if it has rows, else the nearest finer, then coarser, one that has. */
function stageWithRows(data: CuttingData, group: Material, stage: Stage): Stage {
  const at = STAGES.indexOf(stage);
  const order = [...STAGES.slice(at), ...STAGES.slice(0, at).reverse()];
  const found = order.find((one) => data.rows.some((row) => row.group === group && row.stage === one));
  if (found === undefined) {
    throw new PartError({
      code: 'cutting-data.no-rows',
      where: 'cutting data',
      what: `no row for material group ${group}`,
      remedy: 'add rows for it, or choose another group',
    });
  }
  return found;
}

/** JSON Schema (2020-12) of a cutting-data file. */
export const cuttingDataJsonSchema = (): Record<string, unknown> =>
  publishedSchema(cuttingDataSchema, 'cutting-data', 'Cutting data');

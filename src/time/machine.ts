import { z } from 'zod';
import { checkInput, publishedSchema, shownText } from '../core/check-input.js';
import type { Finding } from '../core/findings.js';

const positive = z.number().positive().min(1e-6);
const notNegative = z.number().min(0);

/** What people call a figure, with its unit, and what it is where that does not say it. */
const named = <T extends z.ZodType>(schema: T, title: string, description?: string): T =>
  schema.meta(description === undefined ? { title } : { title, description });

/** JSON of a machine file. Every figure is the user's own; none has a hidden default. What has a title may be typed. */
export const machineSchema = z.strictObject({
  $schema: z.string().optional(),
  version: z.literal(1),
  name: named(shownText().max(120).optional(), 'Name'),
  placeholder: z.boolean().optional().describe('true: the figures stand in for those of a real machine'),
  maxRpm: named(positive.max(1e6), 'Greatest spindle speed, 1/min'),
  maxFeedMmPerMin: named(positive.max(1e6), 'Greatest feed, mm/min', 'greatest programmed feed'),
  rapidMmPerMin: named(positive.max(1e6), 'Rapid, mm/min'),
  accelerationMmPerS2: named(
    positive.max(1e6),
    'Acceleration, mm/s²',
    'what the axes really hold along a contour',
  ),
  jerkMmPerS3: named(
    positive.max(1e9).nullable(),
    'Jerk, mm/s³',
    'null: not limited, speed ramps are straight',
  ),
  blockTimeMs: named(notNegative.max(1000), 'Block time, ms', 'time the control needs for one block'),
  cornerToleranceMm: named(
    positive.max(10),
    'Corner tolerance, mm',
    'how far the path may be cut short at a corner',
  ),
  chordToleranceMm: named(
    positive.max(10),
    'Chord tolerance, mm',
    'how far straight blocks may stray from a curved path',
  ),
  toolChangeSeconds: named(
    notNegative.max(36_000),
    'Tool change, s',
    'from the last cut of one cutter to the first of the next',
  ),
  clearanceMm: named(
    notNegative.max(10_000),
    'Lift, mm',
    'how far the cutter is lifted for a move through the air',
  ),
  approachMm: named(notNegative.max(1000), 'Approach, mm', 'last stretch before the cut, at approach feed'),
  approachFeedMmPerMin: named(positive.max(1e6), 'Approach feed, mm/min'),
  hourlyRate: named(notNegative.max(1e9), 'Rate per hour', 'of the machine with its operator'),
  currency: named(shownText().max(12).default(''), 'Currency'),
  setUpMinutes: named(
    notNegative.max(1e6),
    'Set-up of one part, min',
    'clamping, probing and loading of one part',
  ),
  timeFactor: named(
    positive.max(20),
    'Time factor',
    'actual over predicted minutes in this shop; 1: not calibrated',
  ),
  timeSpread: z
    .strictObject({
      low: positive.max(1).describe('10th percentile of actual over calibrated minutes'),
      high: z.number().min(1).max(20).describe('90th percentile'),
    })
    .nullable()
    .describe('null: not calibrated, 25 % either way is assumed'),
});
export type Machine = Readonly<z.infer<typeof machineSchema>>;

/** What of a machine may be typed: each key that has a title, and what it is. */
export const machineTitles = (): {
  readonly key: keyof Machine;
  readonly title: string;
  readonly description: string | undefined;
}[] =>
  Object.entries(machineSchema.shape).flatMap(([key, schema]) => {
    const { title, description } = schema.meta() ?? {};
    return title === undefined ? [] : [{ key: key as keyof Machine, title, description }];
  });

/**
 * A machine from the parsed JSON of a file.
 *
 * @throws {PartError} `machine.unknown-key`, `machine.invalid`
 */
export const readMachine = (json: unknown, where: string): Machine =>
  checkInput(machineSchema, json, where, 'machine');

/** Stand-in machine, invented round figures: a result carries a warning as long as it is in use. */
export const PLACEHOLDER_MACHINE: Machine = {
  version: 1,
  placeholder: true,
  maxRpm: 18_000,
  maxFeedMmPerMin: 8000,
  rapidMmPerMin: 20_000,
  accelerationMmPerS2: 2000,
  jerkMmPerS3: 50_000,
  blockTimeMs: 2,
  cornerToleranceMm: 0.01,
  chordToleranceMm: 0.005,
  toolChangeSeconds: 20,
  clearanceMm: 5,
  approachMm: 2,
  approachFeedMmPerMin: 1000,
  hourlyRate: 60,
  currency: '',
  setUpMinutes: 30,
  timeFactor: 1,
  timeSpread: null,
};

/** Doubts that follow from the machine file itself. */
export function machineFindings(machine: Machine): Finding[] {
  if (!machine.placeholder) return [];
  return [
    {
      code: 'machine.placeholder',
      severity: 'warning',
      count: 1,
      whereMm: null,
      message: 'The machine is a placeholder: times and costs hold only for your own machine file.',
    },
  ];
}

/** JSON Schema (2020-12) of a machine file. */
export const machineJsonSchema = (): Record<string, unknown> =>
  publishedSchema(machineSchema, 'machine', 'Machine');

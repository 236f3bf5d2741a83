import { z } from 'zod';
import { checkInput, publishedSchema, shownText } from '../core/check-input.js';
import type { Finding } from '../core/findings.js';

const positive = z.number().positive().min(1e-6);
const notNegative = z.number().min(0);

/** JSON of a machine file. Every figure is the user's own; none has a hidden default. */
export const machineSchema = z.strictObject({
  $schema: z.string().optional(),
  version: z.literal(1),
  name: shownText().max(120).optional(),
  placeholder: z.boolean().optional().describe('true: the figures stand in for those of a real machine'),
  maxRpm: positive.max(1e6),
  maxFeedMmPerMin: positive.max(1e6).describe('greatest programmed feed'),
  rapidMmPerMin: positive.max(1e6),
  accelerationMmPerS2: positive.max(1e6).describe('what the axes really hold along a contour'),
  jerkMmPerS3: positive.max(1e9).nullable().describe('null: not limited, speed ramps are straight'),
  blockTimeMs: notNegative.max(1000).describe('time the control needs for one block'),
  cornerToleranceMm: positive.max(10).describe('how far the path may be cut short at a corner'),
  chordToleranceMm: positive.max(10).describe('how far straight blocks may stray from a curved path'),
  toolChangeSeconds: notNegative
    .max(36_000)
    .describe('from the last cut of one cutter to the first of the next'),
  clearanceMm: notNegative.max(10_000).describe('how far the cutter is lifted for a move through the air'),
  approachMm: notNegative.max(1000).describe('last stretch before the cut, at approach feed'),
  approachFeedMmPerMin: positive.max(1e6),
  hourlyRate: notNegative.max(1e9).describe('of the machine with its operator'),
  currency: shownText().max(12).default(''),
  setUpMinutes: notNegative.max(1e6).describe('clamping, probing and loading of one part'),
  timeFactor: positive.max(20).describe('actual over predicted minutes in this shop; 1: not calibrated'),
  timeSpread: z
    .strictObject({
      low: positive.max(1).describe('10th percentile of actual over calibrated minutes'),
      high: z.number().min(1).max(20).describe('90th percentile'),
    })
    .nullable()
    .describe('null: not calibrated, 25 % either way is assumed'),
});
export type Machine = Readonly<z.infer<typeof machineSchema>>;

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

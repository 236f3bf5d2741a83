import { significant } from '../core/figures.js';
import { compensatedSum } from '../core/sum.js';
import type { Machine } from './machine.js';

/** A planning figure is a range. */
export interface Range {
  readonly low: number;
  readonly likely: number;
  readonly high: number;
}

/** Share either way that is assumed until the shop has calibrated: an honest planning claim, no more. */
export const UNCALIBRATED_SPREAD = { low: 0.75, high: 1.25 } as const;

/** What one cutter does in the job. */
export interface CutterWork {
  readonly id: string;
  /** with the shop's factor in it */
  readonly minutes: number;
  /** what a minute of cutting wears off it, in the machine's currency */
  readonly wearCostPerMinute: number;
}

export interface QuoteLine {
  readonly item: string;
  readonly minutes: Range;
  readonly cost: Range;
}

export type Quote = Readonly<ReturnType<typeof quote>>;

/**
 * Cost of finishing one part: time at the hourly rate and wear of each cutter, changes of cutter, and set-up.
 * The range is the machine file's own spread, else 25 % either way; set-up minutes are the user's figure and
 * have none.
 *
 * A planning aid: the offer is the user's own to make.
 *
 * @param toolChanges how often a cutter is put in
 * @throws {RangeError} for negative or non-finite minutes or costs
 */
export function quote(work: readonly CutterWork[], toolChanges: number, machine: Machine) {
  const spread = machine.timeSpread ?? UNCALIBRATED_SPREAD;
  const perMinute = machine.hourlyRate / 60;
  const spreadOut = (likely: number): Range => ({
    low: likely * spread.low,
    likely,
    high: likely * spread.high,
  });
  const even = (value: number): Range => ({ low: value, likely: value, high: value });
  for (const { id, minutes, wearCostPerMinute } of work) {
    if (!(minutes >= 0 && wearCostPerMinute >= 0 && Number.isFinite(minutes + wearCostPerMinute))) {
      throw new RangeError(`quote: cutter ${id}, ${minutes} min at ${wearCostPerMinute}, expected >= 0`);
    }
  }
  const lines: QuoteLine[] = work.map(({ id, minutes, wearCostPerMinute }) => ({
    item: `finishing with ${id}`,
    minutes: spreadOut(minutes),
    cost: spreadOut(minutes * (perMinute + wearCostPerMinute)),
  }));
  const changes = (toolChanges * machine.toolChangeSeconds) / 60;
  lines.push({ item: 'cutter changes', minutes: even(changes), cost: even(changes * perMinute) });
  const { setUpMinutes } = machine;
  lines.push({ item: 'set-up', minutes: even(setUpMinutes), cost: even(setUpMinutes * perMinute) });
  return {
    lines,
    /** as the machine file has it; '' if it names none */
    currency: machine.currency,
    total: {
      item: 'total with set-up',
      minutes: totalRange(lines, 'minutes'),
      cost: totalRange(lines, 'cost'),
    },
    /** where the range comes from */
    basis: machine.timeSpread
      ? `10th to 90th percentile of the shop's own jobs: ${percent(spread.low)}, ${percent(spread.high)}`
      : 'not calibrated: 25 % either way is assumed',
  };
}

/** By how much a share differs from 1: `-25 %`. */
export const percent = (share: number): string =>
  `${share < 1 ? '-' : '+'}${Math.round(Math.abs(share - 1) * 100)} %`;

function totalRange(lines: readonly QuoteLine[], field: 'minutes' | 'cost'): Range {
  const sum = (bound: keyof Range): number => compensatedSum(lines.map((line) => line[field][bound]));
  return { low: sum('low'), likely: sum('likely'), high: sum('high') };
}

/** Rounded to three digits: a quote is not known to the penny. */
const rounded = (value: number): number => significant(value, 3);

/**
 * Rows of a quote sheet, a header first and the total last; figures rounded to three digits.
 *
 * @returns cells as text or numbers, for a CSV writer
 */
export function quoteRows({ lines, total, currency, basis }: Quote): (string | number)[][] {
  const money = currency === '' ? 'cost' : `cost ${currency}`;
  const bounds = ['low', 'likely', 'high'];
  const head = ['minutes', money].flatMap((unit) => bounds.map((bound) => `${unit} ${bound}`));
  const cells = ({ minutes, cost }: QuoteLine): number[] =>
    [minutes, cost].flatMap(({ low, likely, high }) => [low, likely, high].map(rounded));
  return [
    ['item', ...head, 'basis of the range'],
    ...[...lines, total].map((line) => [line.item, ...cells(line), line === total ? basis : '']),
  ];
}

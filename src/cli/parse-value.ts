import { InvalidArgumentError } from 'commander';
import { lengthMm, shareOfOne } from '../core/units.js';
import { AXIS_VECTORS, idsTyped, type AxisWord, type OptionKind, type OptionRow } from '../options.js';

const refuse = (text: string, expected: string): never => {
  throw new InvalidArgumentError(`"${text}" found, ${expected} expected`);
};

const PLAIN_NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;

/** How the text of each kind is read; a kind that is not here is taken as it stands. */
const READERS: Readonly<Partial<Record<OptionKind, (text: string, row: OptionRow) => unknown>>> = {
  axis: parseAxis,
  choice: parseChoice,
  length: parseLengthMm,
  lengths: (text) => text.split(',').map(parseLengthMm),
  'length or auto': (text) => (text === 'auto' ? text : parseLengthMm(text)),
  number: parseNumber,
  share: parseShare,
  words: idsTyped,
  'number or auto': (text) => (text === 'auto' ? text : parsedNumber(text, 'degrees such as 45, or auto')),
};

/** What the text after the flag of an option means. Range is the set-up's business. */
export function parseOption(row: OptionRow, text: string): unknown {
  return READERS[row.kind]?.(text, row) ?? text;
}

/** A length that may carry a unit: mm. */
function parseLengthMm(text: string): number {
  const value = lengthMm(text);
  return Number.isNaN(value) ? refuse(text, 'a length such as 3, 3mm or 0.125in') : value;
}

const parsedNumber = (text: string, expected: string): number =>
  PLAIN_NUMBER.test(text) ? Number(text) : refuse(text, expected);

/** A plain decimal number; nothing after it, no exponent. */
export function parseNumber(text: string): number {
  return parsedNumber(text, 'a number such as 45 or 0.5');
}

/** A share of 1, or with its sign a percentage. */
function parseShare(text: string): number {
  const value = shareOfOne(text);
  return Number.isNaN(value) ? refuse(text, 'a share such as 0.03, or 3%') : value;
}

/** Degrees of wall angle; with a unit, a distance along the surface: the keys of the set-up that it sets. */
export function parseOverlap(text: string): object {
  if (PLAIN_NUMBER.test(text)) return { overlapDeg: Number(text), overlapMm: null };
  const value = lengthMm(text);
  return Number.isNaN(value)
    ? refuse(text, 'degrees such as 3, or a length with its unit such as 2mm')
    : { overlapMm: value };
}

/** An axis word, auto, or three numbers separated by commas. */
function parseAxis(text: string): AxisWord | 'auto' | number[] {
  const word = text.toLowerCase();
  if (word === 'auto') return word;
  if (isKey(AXIS_VECTORS, word)) return word;
  const numbers = text.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)));
  if (numbers.length === 3 && numbers.every(Number.isFinite)) return numbers;
  return refuse(text, '+z, -z, +x, -x, +y, -y, auto or a direction such as 0,0,1');
}

/** One of some words, in capitals or not; the unit names the standard they are from. */
function parseChoice(text: string, { choices = [], unit }: OptionRow): string {
  const asked = text.toLowerCase();
  const from = unit === undefined ? '' : ` (${unit})`;
  return (
    choices.find((choice) => choice.toLowerCase() === asked) ??
    refuse(text, `one of ${choices.join(', ')}${from}`)
  );
}

function isKey<T extends object>(object: T, key: PropertyKey): key is keyof T {
  return Object.hasOwn(object, key);
}

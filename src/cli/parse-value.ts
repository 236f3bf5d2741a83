import { InvalidArgumentError } from 'commander';
import { lengthMm } from '../core/units.js';
import { AXIS_VECTORS, type AxisWord } from '../options.js';

const refuse = (text: string, expected: string): never => {
  throw new InvalidArgumentError(`"${text}" found, ${expected} expected`);
};

const PLAIN_NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;

/** A length that may carry a unit: mm. Range is the set-up's business. */
export function parseLengthMm(text: string): number {
  const value = lengthMm(text);
  return Number.isNaN(value) ? refuse(text, 'a length such as 3, 3mm or 0.125in') : value;
}

/** A length as above, or `auto`. */
export function parseLengthOrAuto(text: string): number | 'auto' {
  return text === 'auto' ? 'auto' : parseLengthMm(text);
}

/** Lengths separated by commas: mm. */
export function parseLengthsMm(text: string): number[] {
  return text.split(',').map(parseLengthMm);
}

/** A plain decimal number; nothing after it, no exponent. */
export function parseNumber(text: string): number {
  return PLAIN_NUMBER.test(text) ? Number(text) : refuse(text, 'a number such as 45 or 0.5');
}

/** A percentage, with or without its sign: a share of 1. */
export function parsePercent(text: string): number {
  const digits = text.endsWith('%') ? text.slice(0, -1) : text;
  return PLAIN_NUMBER.test(digits) ? Number(digits) / 100 : refuse(text, 'a percentage such as 3 or 3%');
}

/** Degrees, or `auto`. */
export function parseDegOrAuto(text: string): number | 'auto' {
  if (text === 'auto') return 'auto';
  return PLAIN_NUMBER.test(text) ? Number(text) : refuse(text, 'degrees such as 45, or auto');
}

/** An overlap as the set-up holds it. */
export type OverlapFlag =
  | { readonly overlapDeg: number; readonly overlapMm: null }
  | { readonly overlapMm: number };

/** Degrees of wall angle; with a unit, a distance along the surface. */
export function parseOverlap(text: string): OverlapFlag {
  if (PLAIN_NUMBER.test(text)) return { overlapDeg: Number(text), overlapMm: null };
  const value = lengthMm(text);
  return Number.isNaN(value)
    ? refuse(text, 'degrees such as 3, or a length with its unit such as 2mm')
    : { overlapMm: value };
}

/** An axis word, or three numbers separated by commas. */
export function parseAxis(text: string): AxisWord | [number, number, number] {
  const word = text.toLowerCase();
  if (isKey(AXIS_VECTORS, word)) return word;
  const numbers = text.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)));
  const [x, y, z] = numbers;
  if (numbers.length === 3 && numbers.every(Number.isFinite)) return [x, y, z];
  return refuse(text, '+z, -z, +x, -x, +y, -y or a direction such as 0,0,1');
}

/** One of some words, in capitals or not; `standard` names where they are from. */
export function parseChoice(text: string, choices: readonly string[], standard: string | null): string {
  const asked = text.toLowerCase();
  const from = standard === null ? '' : ` (${standard})`;
  return (
    choices.find((choice) => choice.toLowerCase() === asked) ??
    refuse(text, `one of ${choices.join(', ')}${from}`)
  );
}

function isKey<T extends object>(object: T, key: PropertyKey): key is keyof T {
  return Object.hasOwn(object, key);
}

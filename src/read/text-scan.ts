import type { PartError } from '../core/errors.js';
import { LOST_POINTS, readError } from './read-error.js';
import { scanNumber } from './scan-number.js';

/** A text file scanned byte by byte: a string of it would take minutes or fail. */
export interface TextScan {
  /** the file, or the window on it that is read */
  bytes: Uint8Array;
  readonly name: string;
  at: number;
  /** lines before the window; left out: it is the whole file */
  linesBefore?: number;
}

const DECODER = new TextDecoder();
const NEWLINE = 10;
const CARRIAGE_RETURN = 13;
/** What helps where one place of a text file is wrong. */
export const CORRECT = 'correct it there, or export again in a binary format';

/** At the first byte behind a byte order mark, if there is one. */
export const textScan = (bytes: Uint8Array, name: string): TextScan => ({
  bytes,
  name,
  at: bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0,
});

/** NUL and control bytes count as space: some writers pad with them. */
export const isSpace = (byte: number): boolean => byte <= 32;
export const isLineEnd = (byte: number): boolean => byte === NEWLINE || byte === CARRIAGE_RETURN;

/** Moves to the next byte that is no space, or to the end; line ends are space. */
export function skipSpace(scan: TextScan): void {
  const { bytes } = scan;
  let at = scan.at;
  while (at < bytes.length && isSpace(bytes[at])) at++;
  scan.at = at;
}

export function skipLine(scan: TextScan): void {
  const { bytes } = scan;
  let at = scan.at;
  while (at < bytes.length && !isLineEnd(bytes[at])) at++;
  scan.at = at;
}

/** Moves behind the word that begins here. */
export function skipWord(scan: TextScan): void {
  const { bytes } = scan;
  let at = scan.at;
  while (at < bytes.length && !isSpace(bytes[at])) at++;
  scan.at = at;
}

/**
 * The number that begins here, which the scan moves behind.
 *
 * @throws {PartError} `read.not-a-number` or `read.non-finite`, naming the line
 */
export function readCoordinate(scan: TextScan): number {
  const start = scan.at;
  const value = scanNumber(scan.bytes, scan);
  if (value - value !== 0) {
    scan.at = start;
    throw coordinateError(scan, value);
  }
  return value;
}

function coordinateError(scan: TextScan, value: number): PartError {
  const word = wordAt(scan);
  if (/^[+-]?(nan|inf|infinity|1\.#.*)$/i.test(word) || value === Infinity || value === -Infinity) {
    return errorAt(scan, 'non-finite', `coordinate "${word}" is no finite number`, LOST_POINTS);
  }
  const comma = /^[+-]?\d*,\d+/.test(word);
  const what =
    word === '' ? 'the file ends inside a vertex' : `coordinate "${word}" found, a number expected`;
  return errorAt(
    scan,
    'not-a-number',
    what,
    comma ? 'export it with decimal points instead of commas' : CORRECT,
  );
}

/** The word that begins here; of a long one the beginning. */
export function wordAt({ bytes, at }: TextScan): string {
  let end = at;
  while (end < bytes.length && end < at + 40 && !isSpace(bytes[end])) end++;
  return DECODER.decode(bytes.subarray(at, end));
}

export const errorAt = (scan: TextScan, code: string, what: string, remedy?: string): PartError =>
  readError(`read.${code}`, `${scan.name}: line ${lineOf(scan)}`, what, remedy);

/** Lines are counted only when something is wrong, or scrolls by. A lone carriage return ends a line too. */
export function lineOf({ bytes, at, linesBefore = 0 }: TextScan): number {
  let line = linesBefore + 1;
  // By the platform's own search: a loop over the bytes took half as long again.
  for (let i = bytes.indexOf(NEWLINE); i >= 0 && i < at; i = bytes.indexOf(NEWLINE, i + 1)) line++;
  for (let i = bytes.indexOf(CARRIAGE_RETURN); i >= 0 && i < at; i = bytes.indexOf(CARRIAGE_RETURN, i + 1))
    if (bytes[i + 1] !== NEWLINE) line++;
  return line;
}

import type { PartError } from '../core/errors.js';
import { LOST_POINTS, readError } from './read-error.js';
import { finding, type Finding } from '../core/findings.js';
import { withRoom } from '../core/growing-numbers.js';
import { scanNumber } from './scan-number.js';
import type { ReadTriangles } from './read-triangles.js';

const NEWLINE = 10;
const CARRIAGE_RETURN = 13;
const WORDS = [
  'solid',
  'facet',
  'normal',
  'outer',
  'loop',
  'vertex',
  'endloop',
  'endfacet',
  'endsolid',
] as const;
type Word = (typeof WORDS)[number];
const WORD_BYTES = WORDS.map((word) => Uint8Array.from(word, (letter) => letter.charCodeAt(0)));
/** Bytes of one facet in files as exporters write them; only a first guess of the array's size. */
const TYPICAL_FACET_BYTES = 200;

interface Scan {
  readonly bytes: Uint8Array;
  readonly name: string;
  readonly mmPerUnit: number;
  at: number;
  corners: Float64Array;
  /** numbers stored */
  filled: number;
}

/**
 * Triangles of an ASCII STL, scanned byte by byte: a string of the file would take minutes or fail. Letter
 * case, line ends, indentation and a byte order mark do not matter; several solids become one part.
 *
 * @param mmPerUnit factor on every coordinate
 * @throws {PartError} `read.not-a-number`, `read.non-finite`, `read.not-a-triangle`, `read.unexpected-word`
 *   or `read.truncated`, each naming the line
 */
export function readAsciiStl(bytes: Uint8Array, name: string, mmPerUnit: number): ReadTriangles {
  const corners = new Float64Array(9 * Math.ceil(bytes.length / TYPICAL_FACET_BYTES) + 9);
  const scan: Scan = { bytes, name, mmPerUnit, at: 0, corners, filled: 0 };
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) scan.at = 3;
  const { solids, ends } = scanSolids(scan);
  return { corners: scan.corners.slice(0, scan.filled), findings: solidFindings(solids, ends) };
}

function scanSolids(scan: Scan): { solids: number; ends: number } {
  let solids = 0,
    ends = 0,
    inFacet = false,
    facetStart = 0;
  for (let word = nextWord(scan); word !== null; word = nextWord(scan)) {
    switch (word) {
      case 'solid':
      case 'endsolid':
        if (inFacet) throw facetError(scan, scan.filled - facetStart);
        if (word === 'solid') solids++;
        else ends++;
        skipLine(scan);
        break;
      case 'facet':
        if (inFacet) throw facetError(scan, scan.filled - facetStart);
        inFacet = true;
        facetStart = scan.filled;
        break;
      case 'normal':
        for (let i = 0; i < 3; i++) skipToken(scan);
        break;
      case 'vertex':
        readVertex(scan);
        break;
      case 'endfacet':
        if (!inFacet || scan.filled - facetStart !== 9) throw facetError(scan, scan.filled - facetStart);
        inFacet = false;
        break;
      default:
    }
  }
  if (inFacet || scan.filled % 9 !== 0) {
    throw errorAt(scan, 'truncated', `the file ends inside facet ${Math.floor(scan.filled / 9) + 1}`);
  }
  return { solids, ends };
}

function solidFindings(solids: number, ends: number): Finding[] {
  const findings: Finding[] = [];
  if (ends < solids) {
    findings.push(
      finding(
        'read.no-endsolid',
        'info',
        'the file does not close its solid with "endsolid"; every facet in it is whole, but the last may be missing',
        solids - ends,
      ),
    );
  }
  if (solids > 1) {
    findings.push(
      finding(
        'read.several-solids',
        'info',
        `${solids} solids in the file are taken together as one part`,
        solids,
      ),
    );
  }
  return findings;
}

const isSpace = (byte: number): boolean => byte <= 32;

/** The next word, or null at the end. NUL and control bytes count as space: some writers pad with them. */
function nextWord(scan: Scan): Word | null {
  const { bytes } = scan;
  let at = scan.at;
  while (at < bytes.length && isSpace(bytes[at])) at++;
  scan.at = at;
  if (at === bytes.length) return null;
  const initial = bytes[at] | 32;
  for (let w = 0; w < WORDS.length; w++) {
    const letters = WORD_BYTES[w];
    if (letters[0] !== initial) continue;
    let i = 0;
    while (i < letters.length && (bytes[at + i] | 32) === letters[i]) i++;
    if (i < letters.length || (at + i < bytes.length && !isSpace(bytes[at + i]))) continue;
    scan.at = at + i;
    return WORDS[w];
  }
  const what = `"${tokenAt(scan)}" found, a word of an ASCII STL expected (${WORDS.join(', ')})`;
  throw errorAt(scan, 'unexpected-word', what, CORRECT);
}

function readVertex(scan: Scan): void {
  if (scan.filled + 3 > scan.corners.length)
    scan.corners = withRoom(scan.corners, 3 * Math.ceil(scan.corners.length / 2), Float64Array);
  const { bytes } = scan;
  for (let i = 0; i < 3; i++) {
    let at = scan.at;
    while (at < bytes.length && isSpace(bytes[at])) at++;
    scan.at = at;
    const value = scanNumber(bytes, scan);
    if (value - value !== 0) throw numberError(scan, at, value);
    scan.corners[scan.filled++] = value * scan.mmPerUnit;
  }
}

function numberError(scan: Scan, start: number, value: number): PartError {
  scan.at = start;
  const token = tokenAt(scan);
  if (/^[+-]?(nan|inf|infinity|1\.#.*)$/i.test(token) || value === Infinity || value === -Infinity) {
    return errorAt(scan, 'non-finite', `coordinate "${token}" is no finite number`, LOST_POINTS);
  }
  const comma = /^[+-]?\d*,\d+/.test(token);
  const what =
    token === '' ? 'the file ends inside a vertex' : `coordinate "${token}" found, a number expected`;
  return errorAt(
    scan,
    'not-a-number',
    what,
    comma ? 'export it with decimal points instead of commas' : CORRECT,
  );
}

const facetError = (scan: Scan, numbers: number): PartError =>
  errorAt(scan, 'not-a-triangle', `a facet with ${numbers / 3} vertices, 3 expected`, CORRECT);

const CORRECT = 'correct it there, or export again as binary STL';

const errorAt = (scan: Scan, code: string, what: string, remedy?: string): PartError =>
  readError(`read.${code}`, `${scan.name}: line ${lineOf(scan)}`, what, remedy);

function skipLine(scan: Scan): void {
  const { bytes } = scan;
  let at = scan.at;
  while (at < bytes.length && bytes[at] !== NEWLINE && bytes[at] !== CARRIAGE_RETURN) at++;
  scan.at = at;
}

function skipToken(scan: Scan): void {
  const { bytes } = scan;
  let at = scan.at;
  while (at < bytes.length && isSpace(bytes[at])) at++;
  while (at < bytes.length && !isSpace(bytes[at])) at++;
  scan.at = at;
}

function tokenAt(scan: Scan): string {
  let end = scan.at;
  while (end < scan.bytes.length && end < scan.at + 40 && !isSpace(scan.bytes[end])) end++;
  return new TextDecoder().decode(scan.bytes.subarray(scan.at, end));
}

/** Lines are counted only when something is wrong. A lone carriage return ends a line too. */
function lineOf(scan: Scan): number {
  let line = 1;
  const until = Math.min(scan.at, scan.bytes.length);
  for (let i = 0; i < until; i++) {
    if (scan.bytes[i] === NEWLINE || (scan.bytes[i] === CARRIAGE_RETURN && scan.bytes[i + 1] !== NEWLINE))
      line++;
  }
  return line;
}

import type { PartError } from '../core/errors.js';
import type { FileChunks } from '../core/file-chunks.js';
import { finding, type Finding } from '../core/findings.js';
import { withRoom } from '../core/growing-numbers.js';
import { MOST_TRIANGLES } from '../core/limits.js';
import { checkTriangles } from './read-error.js';
import type { ReadTriangles } from './read-triangles.js';
import {
  CORRECT,
  errorAt,
  isSpace,
  lineOf,
  readCoordinate,
  skipLine,
  skipSpace,
  skipWord,
  textScan,
  wordAt,
  type TextScan,
} from './text-scan.js';

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

interface Scan extends TextScan {
  corners: Float64Array;
  /** numbers stored */
  filled: number;
  /** what follows the window; null: nothing */
  rest: FileChunks | null;
}

/**
 * Triangles of an ASCII STL. Letter case, line ends, indentation and a byte order mark do not matter; several
 * solids become one part.
 *
 * @param bytes the file, or of a long one the window on it that `rest` goes on to fill
 * @throws {PartError} `read.not-a-number`, `read.non-finite`, `read.not-a-triangle`, `read.unexpected-word`
 *   or `read.truncated`, each naming the line
 */
export function readAsciiStl(bytes: Uint8Array, name: string, rest: FileChunks | null = null): ReadTriangles {
  const likely = Math.ceil((rest?.length ?? bytes.length) / TYPICAL_FACET_BYTES);
  const corners = new Float64Array(9 * Math.min(likely, MOST_TRIANGLES) + 9);
  const scan: Scan = { ...textScan(bytes, name), corners, filled: 0, rest };
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
        for (let i = 0; i < 3; i++) {
          toNext(scan);
          skipWord(scan);
        }
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

/** Moves to where the next word or number begins, and fills the window once it has less than half before it. */
function toNext(scan: Scan): void {
  skipSpace(scan);
  while (scan.rest !== null && scan.bytes.length - scan.at < scan.bytes.length / 2) {
    moveOn(scan, scan.rest);
    skipSpace(scan);
  }
}

/** What is before the place of the scan moves to the front of the window, and bytes of the file follow it. */
function moveOn(scan: Scan, rest: FileChunks): void {
  const { bytes, at } = scan;
  scan.linesBefore = lineOf(scan) - 1;
  bytes.copyWithin(0, at);
  const left = bytes.length - at,
    read = rest.read(bytes.subarray(left));
  if (read < at) {
    scan.rest = null;
    scan.bytes = bytes.subarray(0, left + read);
  }
  scan.at = 0;
}

/** The next word, or null at the end. */
function nextWord(scan: Scan): Word | null {
  toNext(scan);
  const { bytes, at } = scan;
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
  const what = `"${wordAt(scan)}" found, a word of an ASCII STL expected (${WORDS.join(', ')})`;
  throw errorAt(scan, 'unexpected-word', what, CORRECT);
}

function readVertex(scan: Scan): void {
  if (scan.filled + 3 > scan.corners.length) {
    checkTriangles(Math.ceil(scan.filled / 9), scan.name, MOST_TRIANGLES);
    scan.corners = withRoom(scan.corners, 3 * Math.ceil(scan.corners.length / 2), Float64Array);
  }
  for (let i = 0; i < 3; i++) {
    toNext(scan);
    const { at } = scan;
    scan.corners[scan.filled++] = readCoordinate(scan);
    // Longer than half a window: what follows its end may belong to it.
    if (scan.rest !== null && scan.at === scan.bytes.length)
      throw errorAt({ ...scan, at }, 'not-a-number', 'a coordinate of millions of digits', CORRECT);
  }
}

const facetError = (scan: Scan, numbers: number): PartError =>
  errorAt(scan, 'not-a-triangle', `a facet with ${numbers / 3} vertices, 3 expected`, CORRECT);

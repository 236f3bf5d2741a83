import { finding, type Finding } from '../core/findings.js';
import { growingNumbers, type GrowingNumbers } from '../core/growing-numbers.js';
import { polygonTriangles } from './polygon-triangles.js';
import type { ReadTriangles } from './read-triangles.js';
import {
  CORRECT,
  errorAt,
  isLineEnd,
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

/** Statements without a surface that a mesh may carry: normals, textures, groups, names, materials. */
const PASSED = /^(vt|vn|g|s|mg|o|usemtl|mtllib|usemap|maplib|bevel|lod|shadow_obj|trace_obj|[cd]_interp)$/;
/** Lines, points, and surfaces told by formulas instead of facets. */
const NO_FACETS =
  /^(p|l|vp|cstype|deg|bmat|step|curv2?|surf|parm|trim|hole|scrv|sp|end|con|[cs]tech|bsp|bzp|cdc|cdp|res)$/;

interface Scan extends TextScan {
  readonly points: GrowingNumbers;
  readonly corners: GrowingNumbers;
  readonly ends: GrowingNumbers;
  objects: number;
  withoutFacets: number;
  unknown: number;
  /** where the first unknown word stands */
  unknownAt: number;
}

/**
 * Triangles of an OBJ, its polygons cut up; of vertices only the place is read. What is told by formulas
 * instead of facets is left out.
 *
 * @throws {PartError} `read.not-a-number`, `read.non-finite`, `read.not-a-triangle` or `read.damaged`, each
 *   naming the line or face
 */
export function readObj(bytes: Uint8Array, name: string): ReadTriangles {
  const [points, corners, ends] = [growingNumbers(), growingNumbers(), growingNumbers()];
  const counts = { objects: 0, withoutFacets: 0, unknown: 0, unknownAt: 0 };
  const scan: Scan = { ...textScan(bytes, name), points, corners, ends, ...counts };
  for (skipSpace(scan); scan.at < bytes.length; skipSpace(scan)) readStatement(scan);
  const polygons = { points: points.toArray(), corners: corners.toArray(), ends: ends.toArray() };
  return { corners: polygonTriangles(polygons, name), findings: leftOut(scan) };
}

function readStatement(scan: Scan): void {
  const { bytes, at } = scan;
  const isLetterAlone = at + 1 === bytes.length || isSpace(bytes[at + 1]);
  if (isLetterAlone && bytes[at] === LETTER_V) readVertex(scan);
  else if (isLetterAlone && bytes[at] === LETTER_F) readFace(scan);
  else if (bytes[at] === HASH) skipLine(scan);
  else {
    const word = wordAt(scan);
    if (word === 'o') scan.objects++;
    else if (NO_FACETS.test(word)) scan.withoutFacets++;
    else if (!PASSED.test(word) && scan.unknown++ === 0) scan.unknownAt = at;
    while (toNextWord(scan)) skipWord(scan);
  }
}

const LETTER_V = 118,
  LETTER_F = 102,
  HASH = 35,
  SLASH = 47,
  BACKSLASH = 92;

/** Moves behind the line end that stands here; false at the end of the file. */
function skipLineEnd(scan: TextScan): boolean {
  const { bytes, at } = scan;
  if (at >= bytes.length) return false;
  scan.at = at + (bytes[at] === 13 && bytes[at + 1] === 10 ? 2 : 1);
  return true;
}

/** Moves to the next word of the statement; false where it ends. A backslash before the line end carries it on. */
function toNextWord(scan: TextScan): boolean {
  const { bytes } = scan;
  while (scan.at < bytes.length) {
    const byte = bytes[scan.at];
    if (isLineEnd(byte)) return false;
    if (byte === BACKSLASH && isLineEnd(bytes[scan.at + 1] ?? 10)) {
      scan.at++;
      if (!skipLineEnd(scan)) return false;
    } else if (isSpace(byte)) scan.at++;
    else return true;
  }
  return false;
}

/** What follows the three coordinates, a weight or a colour, does not matter. */
function readVertex(scan: Scan): void {
  scan.at++;
  for (let i = 0; i < 3; i++) {
    if (!toNextWord(scan)) throw errorAt(scan, 'not-a-number', `a vertex with ${i} coordinates`, CORRECT);
    scan.points.push(readCoordinate(scan));
  }
  while (toNextWord(scan)) skipWord(scan);
}

function readFace(scan: Scan): void {
  scan.at++;
  const before = scan.corners.length();
  while (toNextWord(scan)) {
    if (scan.bytes[scan.at] === HASH) skipLine(scan);
    else scan.corners.push(readIndex(scan));
  }
  const count = scan.corners.length() - before;
  if (count < 3) throw errorAt(scan, 'not-a-triangle', `a face with ${count} vertices`, CORRECT);
  scan.ends.push(scan.corners.length());
}

/** Vertex of a corner such as `7`, `7/2`, `7//3` or `-1` (the last one so far), counted from 0. */
function readIndex(scan: Scan): number {
  const { bytes } = scan;
  const isBack = bytes[scan.at] === 45;
  const start = scan.at + (isBack ? 1 : 0);
  let at = start,
    index = 0;
  for (let digit = bytes[at] - 48; digit >= 0 && digit <= 9; digit = bytes[++at] - 48)
    index = 10 * index + digit;
  const isWhole = at > start && (at === bytes.length || isSpace(bytes[at]) || bytes[at] === SLASH);
  const vertex = isBack ? scan.points.length() / 3 - index : index - 1;
  if (!isWhole || index === 0 || vertex < 0)
    throw errorAt(scan, 'damaged', `"${wordAt(scan)}" found, the number of a vertex expected`, CORRECT);
  skipWord(scan);
  return vertex;
}

function leftOut(scan: Scan): Finding[] {
  const { objects, withoutFacets, unknown, unknownAt } = scan;
  const findings: Finding[] = [];
  if (objects > 1) {
    const message = `${objects} objects in the file are taken together as one part`;
    findings.push(finding('read.several-solids', 'info', message, objects));
  }
  if (withoutFacets > 0) {
    const message = `${withoutFacets} lines of the file tell of lines, points or surfaces without facets and were left out`;
    findings.push(finding('read.no-surface', 'warning', message, withoutFacets));
  }
  if (unknown > 0) {
    const place = { ...scan, at: unknownAt };
    const message =
      `${unknown} lines of the file begin with words that OBJ does not have and were left out, ` +
      `"${wordAt(place)}" in line ${lineOf(place)} the first`;
    findings.push(finding('read.unknown-words', 'warning', message, unknown));
  }
  return findings;
}

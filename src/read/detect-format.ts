import type { PartError } from '../core/errors.js';
import { readError } from './read-error.js';
import { announcedFacets, looksLikeFacets, STL_FACET_BYTES, STL_HEADER_BYTES } from './stl-binary.js';
import type { Format } from '../core/source.js';

/** How much of a file is looked at to tell what it is. */
const HEAD_BYTES = 1024;
/** Licences at the head of a file are no longer. */
const MOST_COMMENT_BYTES = 65536;

interface Other {
  readonly what: string;
  readonly remedy: string;
}
const EXPORT = 'export the part as STL, 3MF or GLB';
/** What an OBJ file begins with, comments apart: numbers, or a name with vertices to follow. */
const OBJ_NUMBERS = /^v[nt]?\s+[-+.\d]/;
const OBJ_NAME = /^(mtllib|usemtl|o|g|s)(\s|$)/;
const OBJ_VERTEX = /^v\s+[-+.\d]/;

/** First bytes of files that are often given by mistake. */
const SIGNATURES: readonly (readonly [RegExp, Other])[] = [
  [/^\x1f\x8b/, { what: 'a gzip archive', remedy: 'unpack it first' }],
  [/^7z\xbc\xaf/, { what: 'a 7z archive', remedy: 'unpack it first' }],
  [/^Rar!/, { what: 'a RAR archive', remedy: 'unpack it first' }],
  [/^%PDF/, { what: 'a PDF document', remedy: EXPORT }],
  [/^\x89PNG|^\xff\xd8\xff|^GIF8|^BM.{4}\0\0\0\0/s, { what: 'a picture', remedy: EXPORT }],
  [/^.{72}S {6}1/s, { what: 'an IGES file', remedy: `IGES is not read; ${EXPORT}` }],
  [
    /^\s*(<!doctype html|<html)/i,
    { what: 'an HTML page', remedy: 'download the part file itself, not the page' },
  ],
  [/^\s*<\?xml|^\s*<[a-z!]/i, { what: 'an XML file', remedy: EXPORT }],
  [/^OFF\s/, { what: 'an OFF file', remedy: `OFF is not read; ${EXPORT}` }],
];

/**
 * The format of a part file, from its content alone: names lie, and a binary STL may begin with "solid".
 *
 * @throws {PartError} `read.empty-file`, `read.truncated` or `read.unknown-format`, naming what it seems to
 *   be
 */
export function detectFormat(bytes: Uint8Array, name: string): Format {
  if (bytes.length === 0) {
    throw readError('read.empty-file', name, 'the file is empty (0 bytes)');
  }
  const announced = announcedFacets(bytes);
  if (bytes.length === STL_HEADER_BYTES + STL_FACET_BYTES * announced) return 'stl-binary';
  const head = latin1(bytes.subarray(0, HEAD_BYTES));
  const text = head.replace(/^\xef\xbb\xbf/, '');
  if (/^glTF/.test(head)) return 'glb';
  if (/^\s*\{/.test(text)) return 'gltf';
  if (/^\s*solid\b/i.test(text) && /facet|endsolid/i.test(text)) return 'stl-ascii';
  if (/^PK[\x03\x05\x07]/.test(head)) return '3mf';
  if (/^ply\s*[\r\n]/.test(text)) return /[\r\n]\s*format\s+binary/.test(text) ? 'ply-binary' : 'ply-ascii';
  if (/^\s*ISO-10303-21/.test(text)) return 'step';
  if (isObj(bytes)) return 'obj';
  const other = SIGNATURES.find(([pattern]) => pattern.test(text))?.[1];
  if (other !== undefined) throw unknownFormat(name, other);
  // Too short or too long for its count: still a binary STL if what follows the header are facets.
  if (!Number.isNaN(announced) && looksLikeFacets(bytes)) return 'stl-binary';
  throw unknownFormat(name, unknown(text, bytes.length));
}

function unknown(text: string, length: number): Other {
  const printable = !/[\0-\x08\x0e-\x1f]/.test(text);
  if (printable && /^\s*solid\b/i.test(text))
    return { what: 'an ASCII STL without any facet', remedy: EXPORT };
  if (printable) return { what: 'a text file', remedy: EXPORT };
  const short =
    length < STL_HEADER_BYTES
      ? `${length} bytes, too short for any format that is read`
      : 'not an STL, 3MF, OBJ, PLY, glTF or STEP file';
  return { what: short, remedy: `export or copy it again, as STL, 3MF or GLB` };
}

function isObj(bytes: Uint8Array): boolean {
  const text = new TextDecoder().decode(bytes.subarray(0, MOST_COMMENT_BYTES));
  const lines = text.split(/[\r\n]+/).map((line) => line.trimStart());
  const first = lines.find((line) => line !== '' && !line.startsWith('#')) ?? '';
  return OBJ_NUMBERS.test(first) || (OBJ_NAME.test(first) && lines.some((line) => OBJ_VERTEX.test(line)));
}

const unknownFormat = (where: string, { what, remedy }: Other): PartError =>
  readError('read.unknown-format', where, `this is ${what}`, remedy);

function latin1(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
}

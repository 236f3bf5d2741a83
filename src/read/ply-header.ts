import type { PartError } from '../core/errors.js';
import { readError } from './read-error.js';

export type PlyFormat = 'ascii' | 'binary_little_endian' | 'binary_big_endian';

/** Bytes of each scalar type, both of its names. */
const TYPES = {
  char: ['int8', 1],
  uchar: ['uint8', 1],
  short: ['int16', 2],
  ushort: ['uint16', 2],
  int: ['int32', 4],
  uint: ['uint32', 4],
  float: ['float32', 4],
  double: ['float64', 8],
} as const;
export type PlyType = (typeof TYPES)[keyof typeof TYPES][0];
const TYPE_OF: ReadonlyMap<string, PlyType> = new Map(
  Object.entries(TYPES).flatMap(([name, [alias]]) => [
    [name, alias],
    [alias, alias],
  ]),
);
export const PLY_BYTES = Object.fromEntries(Object.values(TYPES)) as Readonly<Record<PlyType, number>>;

export interface PlyProperty {
  readonly name: string;
  readonly type: PlyType;
  /** type of the number of items before a list; null: a single number */
  readonly countType: PlyType | null;
}

export interface PlyElement {
  readonly name: string;
  readonly count: number;
  readonly properties: PlyProperty[];
}

export interface PlyHeader {
  readonly format: PlyFormat;
  readonly elements: readonly PlyElement[];
  /** first byte after the header */
  readonly end: number;
}

/** A header longer than this is none. */
const MOST_BYTES = 65536;
const FORMATS: readonly PlyFormat[] = ['ascii', 'binary_little_endian', 'binary_big_endian'];

/**
 * Header of a PLY file.
 *
 * @throws {PartError} `read.damaged`, naming the line
 */
export function readPlyHeader(bytes: Uint8Array, name: string): PlyHeader {
  // Latin-1, so that bytes and characters count alike; names may hold anything.
  const text = new TextDecoder('latin1').decode(bytes.subarray(0, MOST_BYTES));
  // The header's own line end: after a lone carriage return the first number may begin with the byte of a newline.
  const lineEnd = /\r\n|\n|\r/.exec(text)?.[0] ?? '\n';
  const close = `${lineEnd}end_header`;
  const last = text.indexOf(close);
  const end = text.indexOf(lineEnd, last + close.length);
  if (last < 0 || end < 0) throw damaged(name, 'a PLY header that does not end with "end_header"');
  const lines = text.slice(0, last).split(lineEnd);
  const header = { format: null as PlyFormat | null, elements: [] as PlyElement[] };
  lines.forEach((line, i) => {
    if (i > 0) readLine(line.trim().split(/\s+/), header, `${name}: line ${i + 1}`);
  });
  const { format, elements } = header;
  if (format === null) throw damaged(name, 'a PLY header without a line "format"');
  return { format, elements, end: end + lineEnd.length };
}

function readLine(
  [word, ...rest]: readonly string[],
  header: { format: PlyFormat | null; readonly elements: PlyElement[] },
  where: string,
): void {
  const element = header.elements.at(-1);
  switch (word) {
    case 'format':
      header.format = FORMATS.find((one) => one === rest[0]) ?? null;
      if (header.format === null || rest[1] !== '1.0')
        throw damaged(where, `PLY format "${rest.join(' ')}" found, ${FORMATS.join(', ')} 1.0 expected`);
      break;
    case 'element':
      if (!/^\d{1,15}$/.test(rest[1] ?? '')) throw damaged(where, 'an element without a count');
      header.elements.push({ name: rest[0], count: Number(rest[1]), properties: [] });
      break;
    case 'property':
      if (element === undefined) throw damaged(where, 'a property before any element');
      element.properties.push(propertyOf(rest, where));
      break;
    case 'comment':
    case 'obj_info':
    case '':
      break;
    default:
      throw damaged(where, `"${word}" found, a word of a PLY header expected`);
  }
}

function propertyOf(words: readonly string[], where: string): PlyProperty {
  const isList = words[0] === 'list';
  const [type, name] = isList ? words.slice(2) : words;
  const known = TYPE_OF.get(type),
    countType = isList ? TYPE_OF.get(words[1]) : null;
  if (known === undefined || countType === undefined || name === undefined)
    throw damaged(where, `a property of unknown type "${words.join(' ')}"`);
  return { name, type: known, countType };
}

const damaged = (where: string, what: string): PartError => readError('read.damaged', where, what);

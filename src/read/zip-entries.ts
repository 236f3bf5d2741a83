import { Inflate } from 'fflate';
import { messageOf, type PartError } from '../core/errors.js';
import { checkGrowth } from './check-growth.js';
import { readError } from './read-error.js';

/** One file in a ZIP archive. */
export interface ZipEntry {
  readonly name: string;
  readonly method: number;
  readonly isEncrypted: boolean;
  readonly crc: number;
  readonly packedBytes: number;
  readonly bytes: number;
  /** of its local header */
  readonly offset: number;
}

const END = 0x06054b50,
  END_64 = 0x06064b50,
  LOCATOR_64 = 0x07064b50,
  CENTRAL = 0x02014b50,
  LOCAL = 0x04034b50;
const FULL = 0xffffffff;
/** An archive's own comment is no longer. */
const MOST_COMMENT = 65535;
const STORED = 0,
  DEFLATED = 8;

/** Packed bytes unpacked at a time; what they become is held at once. */
const STEP_BYTES = 16384;

/**
 * The files of a ZIP archive, by its central directory (APPNOTE.TXT 6.3.10, sections 4.3 and 4.4).
 *
 * @throws {PartError} `read.truncated` or `read.damaged`
 */
export function zipEntries(bytes: Uint8Array, name: string): ZipEntry[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let end = bytes.length - 22;
  const first = Math.max(0, end - MOST_COMMENT);
  while (end >= first && view.getUint32(end, true) !== END) end--;
  if (end < first)
    throw readError('read.truncated', name, 'the list of files at the end of a ZIP archive is missing');
  try {
    return directory(view, end);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw readError('read.damaged', name, 'a ZIP archive whose list of files is damaged');
  }
}

/** @throws {RangeError} where it points outside the archive or at something else */
function directory(view: DataView, end: number): ZipEntry[] {
  const is64 = end >= 20 && view.getUint32(end - 20, true) === LOCATOR_64;
  const end64 = is64 ? long(view, end - 12) : 0;
  if (is64) expectWord(view, end64, END_64);
  const count = is64 ? long(view, end64 + 32) : view.getUint16(end + 10, true);
  let at = is64 ? long(view, end64 + 48) : view.getUint32(end + 16, true);
  const entries: ZipEntry[] = [];
  for (let i = 0; i < count; i++) {
    expectWord(view, at, CENTRAL);
    const [nameBytes, extraBytes, commentBytes] = [28, 30, 32].map((from) => view.getUint16(at + from, true));
    const name = new Uint8Array(view.buffer, view.byteOffset + at + 46, nameBytes);
    const [bytes, packedBytes, offset] = longFields(
      view,
      [24, 20, 42].map((from) => view.getUint32(at + from, true)),
      at + 46 + nameBytes,
      extraBytes,
    );
    entries.push({
      name: new TextDecoder().decode(name),
      method: view.getUint16(at + 10, true),
      isEncrypted: (view.getUint16(at + 8, true) & 1) === 1,
      crc: view.getUint32(at + 16, true),
      packedBytes,
      bytes,
      offset,
    });
    at += 46 + nameBytes + extraBytes + commentBytes;
  }
  return entries;
}

/** Sizes and offset, those that do not fit into 32 bits from the extra field 1. */
function longFields(view: DataView, fields: number[], from: number, bytes: number): number[] {
  let at = from;
  while (at < from + bytes && view.getUint16(at, true) !== 1) at += 4 + view.getUint16(at + 2, true);
  let next = at + 4;
  return fields.map((field) => {
    if (field !== FULL || at >= from + bytes) return field;
    next += 8;
    return long(view, next - 8);
  });
}

const long = (view: DataView, at: number): number => Number(view.getBigUint64(at, true));

function expectWord(view: DataView, at: number, word: number): void {
  if (view.getUint32(at, true) !== word) throw new RangeError(`no word ${word} at ${at}`);
}

/**
 * Unpacks one file piece by piece, so that it need not be held whole.
 *
 * @throws {PartError} `read.damaged`, `read.truncated`, `read.unsupported-packing` or `read.too-large`
 */
export function unpackEntry(
  archive: Uint8Array,
  entry: ZipEntry,
  where: string,
  use: (piece: Uint8Array) => void,
): void {
  checkEntry(entry, where);
  const packed = packedBytes(archive, entry, where);
  let crc = FULL,
    length = 0;
  const take = (piece: Uint8Array): void => {
    length += piece.length;
    if (length > entry.bytes) throw readError('read.damaged', where, 'it is longer than it says');
    crc = crc32(piece, crc);
    use(piece);
  };
  if (entry.method === STORED) take(packed);
  else inflate(packed, take, where);
  if (length !== entry.bytes || (crc ^ FULL) >>> 0 !== entry.crc)
    throw readError('read.damaged', where, 'its checksum is wrong');
}

function checkEntry({ method, isEncrypted, bytes, packedBytes }: ZipEntry, where: string): void {
  if (isEncrypted || (method !== STORED && method !== DEFLATED)) {
    const what = isEncrypted ? 'it is encrypted' : `it is packed by method ${method}, which is not read`;
    throw readError('read.unsupported-packing', where, what, 'pack it again as an ordinary ZIP archive');
  }
  checkGrowth(packedBytes, bytes, where);
}

function packedBytes(archive: Uint8Array, entry: ZipEntry, where: string): Uint8Array {
  const view = new DataView(archive.buffer, archive.byteOffset, archive.length);
  const isThere = entry.offset + 30 <= archive.length && view.getUint32(entry.offset, true) === LOCAL;
  const start = isThere
    ? entry.offset + 30 + view.getUint16(entry.offset + 26, true) + view.getUint16(entry.offset + 28, true)
    : Infinity;
  if (start + entry.packedBytes > archive.length)
    throw readError('read.damaged', where, 'it lies outside of its archive');
  return archive.subarray(start, start + entry.packedBytes);
}

function inflate(packed: Uint8Array, take: (piece: Uint8Array) => void, where: string): void {
  const stream = new Inflate(take);
  for (let at = 0; at < packed.length; at += STEP_BYTES) {
    try {
      stream.push(packed.subarray(at, at + STEP_BYTES), at + STEP_BYTES >= packed.length);
    } catch (error) {
      if (error instanceof Error && 'code' in error) throw damagedPacking(error, where);
      throw error;
    }
  }
}

const damagedPacking = (error: Error, where: string): PartError =>
  readError('read.damaged', where, `it cannot be unpacked (${messageOf(error)})`);

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let word = byte;
  for (let bit = 0; bit < 8; bit++) word = (word >>> 1) ^ (word & 1 ? 0xedb88320 : 0);
  return word;
});

/** CRC-32 carried on over more bytes, before its last inversion (ISO 3309; PNG 1.2, annex D). */
function crc32(bytes: Uint8Array, before: number): number {
  let crc = before;
  for (let i = 0; i < bytes.length; i++) crc = CRC_TABLE[(crc ^ bytes[i]) & 255] ^ (crc >>> 8);
  return crc;
}

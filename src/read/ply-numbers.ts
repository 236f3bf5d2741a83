import { PLY_BYTES, type PlyType } from './ply-header.js';
import { scanNumber } from './scan-number.js';
import { skipSpace, skipWord } from './text-scan.js';

/** The numbers of a PLY one after the other, as text or bytes. */
export interface PlyNumbers {
  /** The next one; NaN if it is none, or past the end. */
  readonly next: (type: PlyType) => number;
  readonly isPastEnd: () => boolean;
  /** bytes that were not read yet; white space of a text does not count */
  readonly left: () => number;
  /** that a number of the type takes */
  readonly leastBytes: (type: PlyType) => number;
}

export function plyText(bytes: Uint8Array, start: number): PlyNumbers {
  const scan = { bytes, name: '', at: start };
  let isPastEnd = false;
  return {
    next: () => {
      skipSpace(scan);
      isPastEnd ||= scan.at >= bytes.length;
      const before = scan.at,
        value = scanNumber(bytes, scan);
      // A word such as "nan" may be the normal of a degenerate facet, which nobody needs.
      if (scan.at === before) skipWord(scan);
      return value;
    },
    isPastEnd: () => isPastEnd,
    left: () => {
      skipSpace(scan);
      return bytes.length - scan.at;
    },
    // A digit and a space.
    leastBytes: () => 2,
  };
}

export function plyBinary(bytes: Uint8Array, start: number, isLittle: boolean): PlyNumbers {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let at = start;
  return {
    next: (type) => {
      const from = at;
      at += PLY_BYTES[type];
      return at <= bytes.length ? numberAt(view, from, type, isLittle) : NaN;
    },
    isPastEnd: () => at > bytes.length,
    left: () => bytes.length - at,
    leastBytes: (type) => PLY_BYTES[type],
  };
}

function numberAt(view: DataView, at: number, type: PlyType, isLittle: boolean): number {
  switch (type) {
    case 'int8':
      return view.getInt8(at);
    case 'uint8':
      return view.getUint8(at);
    case 'int16':
      return view.getInt16(at, isLittle);
    case 'uint16':
      return view.getUint16(at, isLittle);
    case 'int32':
      return view.getInt32(at, isLittle);
    case 'uint32':
      return view.getUint32(at, isLittle);
    case 'float32':
      return view.getFloat32(at, isLittle);
    case 'float64':
      return view.getFloat64(at, isLittle);
  }
}

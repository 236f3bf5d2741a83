import type { Context, StepMesher } from '../core/context.js';
import type { FileChunks } from '../core/file-chunks.js';
import { MOST_TRIANGLES } from '../core/limits.js';
import { printable } from '../core/printable.js';
import type { Format } from '../core/source.js';
import type { Soup } from '../core/soup.js';
import { MM_PER_UNIT, type UnitChoice } from '../core/units.js';
import { chooseUnit } from './choose-unit.js';
import { detectFormat } from './detect-format.js';
import { checkTriangles, LOST_POINTS, readError } from './read-error.js';
import type { ReadTriangles } from './read-triangles.js';
import { sha256 } from './sha256.js';
import { readAsciiStl } from './stl-ascii.js';
import { announcedFacets, readBinaryStl } from './stl-binary.js';

export interface ReadOptions extends Pick<Context, 'readBeside'> {
  /** File name, for messages and for the source. */
  readonly name: string;
  /** Unit of the coordinates; left out: what the file states, else mm; auto: what it states, else a guess. */
  readonly unit?: UnitChoice;
  /** More triangles than this are refused; left out: 20 million. */
  readonly maxTriangles?: number;
  /** What makes facets of a STEP file, and the tolerance of what is worked out from them; left out: nothing does. */
  readonly step?: { readonly mesh: StepMesher; readonly toleranceMm: number };
}

type Reader = (bytes: Uint8Array, options: ReadOptions) => ReadTriangles | Promise<ReadTriangles>;

/** All but STL are loaded only when needed: what some of them bring costs more than reading a usual STL. */
const READERS: Readonly<Record<Format, Reader>> = {
  'stl-binary': (bytes, { name }) => readBinaryStl(bytes, name),
  'stl-ascii': (bytes, { name }) => readAsciiStl(bytes, name),
  glb: async (bytes, options) =>
    (await import('./gltf.js')).readGltf(bytes, { maxTriangles: MOST_TRIANGLES, ...options, isBinary: true }),
  gltf: async (bytes, options) =>
    (await import('./gltf.js')).readGltf(bytes, {
      maxTriangles: MOST_TRIANGLES,
      ...options,
      isBinary: false,
    }),
  '3mf': async (bytes, { name }) => (await import('./threemf.js')).readThreeMf(bytes, name),
  obj: async (bytes, { name }) => (await import('./obj.js')).readObj(bytes, name),
  'ply-ascii': async (bytes, { name }) => (await import('./ply.js')).readPly(bytes, name),
  'ply-binary': async (bytes, { name }) => (await import('./ply.js')).readPly(bytes, name),
  step: async (bytes, options) => (await import('./step.js')).readStep(bytes, options),
};

/**
 * Triangles of a part file in mm, Z up. The format is told by content: binary or ASCII STL, GLB, glTF, 3MF, OBJ,
 * PLY or STEP. A glTF is turned from Y up to Z up; transforms and placements in a file are applied.
 *
 * @throws {PartError} `read.*`, if the file is of another format, damaged, or holds no triangles
 */
export async function readPart(bytes: Uint8Array | FileChunks, options: ReadOptions): Promise<Soup> {
  const { name, maxTriangles = MOST_TRIANGLES } = options;
  const isWhole = bytes instanceof Uint8Array,
    head = isWhole ? bytes : firstWindow(bytes);
  const format = detectFormat(head, name);
  if (format === 'stl-binary') checkTriangles(announcedFacets(head), name, maxTriangles);
  // Runs on another thread while the triangles are read. Awaited with them, so that neither failure is lost.
  const [hash, read] = isWhole
    ? await Promise.all([sha256(bytes, name), READERS[format](bytes, options)])
    : inPieces(head, bytes, format, name);
  const triangles = read.corners.length / 9;
  if (triangles === 0) {
    throw readError('read.no-triangles', name, 'the file holds no triangles', 'export the part again');
  }
  checkTriangles(triangles, name, maxTriangles);
  const { unit, unitFrom, findings } = chooseUnit(read, options.unit);
  return {
    corners: inMm(read.corners, MM_PER_UNIT[unit], name),
    source: { name: printable(name), format, sha256: hash, bytes: bytes.length, triangles, unit, unitFrom },
    findings: [...read.findings, ...findings],
  };
}

/** So much of a file is held at a time where it is read in pieces, bytes. */
const WINDOW_BYTES = 2 ** 26;

function firstWindow(file: FileChunks): Uint8Array {
  const window = new Uint8Array(Math.min(WINDOW_BYTES, file.length));
  return window.subarray(0, file.read(window));
}

/** Text of an ASCII STL is several times as long as its triangles; other formats do not come to such lengths. */
function inPieces(
  head: Uint8Array,
  file: FileChunks,
  format: Format,
  name: string,
): [hash: string, read: ReadTriangles] {
  if (format !== 'stl-ascii') {
    const what = `${(file.length / 2 ** 30).toFixed(1)} GiB; at most 2 GiB can be read, more of an ASCII STL alone`;
    throw readError('read.too-large', name, what, 'export it coarser, in parts, or as a binary STL');
  }
  const read = readAsciiStl(head, name, file);
  return [file.sha256(), read];
}

/** The same array, which nobody else holds. */
function inMm(corners: Float64Array, mmPerUnit: number, name: string): Float64Array {
  let sum = 0;
  for (let i = 0; i < corners.length; i++) {
    corners[i] *= mmPerUnit;
    // 0, or NaN for good.
    sum += corners[i] - corners[i];
  }
  if (sum === 0) return corners;
  throw readError('read.non-finite', name, 'coordinates too large for a number', LOST_POINTS);
}

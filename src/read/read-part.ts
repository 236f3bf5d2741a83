import type { Context, StepMesher } from '../core/context.js';
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
export async function readPart(bytes: Uint8Array, options: ReadOptions): Promise<Soup> {
  const { name, maxTriangles = MOST_TRIANGLES } = options;
  const format = detectFormat(bytes, name);
  if (format === 'stl-binary') checkTriangles(announcedFacets(bytes), name, maxTriangles);
  // Runs on another thread while the triangles are read. Awaited with them, so that neither failure is lost.
  const [hash, read] = await Promise.all([sha256(bytes, name), READERS[format](bytes, options)]);
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

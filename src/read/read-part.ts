import { MOST_TRIANGLES } from '../core/limits.js';
import { printable } from '../core/printable.js';
import { checkTriangles, readError } from './read-error.js';
import { MM_PER_UNIT, type Unit } from '../core/units.js';
import type { Soup } from '../core/soup.js';
import { detectFormat } from './detect-format.js';
import type { ReadTriangles } from './read-triangles.js';
import { sha256 } from './sha256.js';
import { readAsciiStl } from './stl-ascii.js';
import { announcedFacets, readBinaryStl } from './stl-binary.js';

export interface ReadOptions {
  /** File name, for messages and for the source. */
  readonly name: string;
  /** Unit of the coordinates; left out: metres for glTF as the format says, else mm. */
  readonly unit?: Unit;
  /** More triangles than this are refused; left out: 20 million. */
  readonly maxTriangles?: number;
  /** Bytes of the files that a .gltf names, by the name it uses. */
  readonly resources?: ReadonlyMap<string, Uint8Array>;
}

/**
 * Triangles of a part file in mm, Z up. The format is told by content: binary or ASCII STL, GLB or glTF. A
 * glTF is turned from Y up to Z up, and its nodes' transforms are applied.
 *
 * @throws {PartError} `read.*`, if the file is of another format, damaged, or holds no triangles
 */
export async function readPart(bytes: Uint8Array, options: ReadOptions): Promise<Soup> {
  const { name } = options;
  const format = detectFormat(bytes, name);
  const most = options.maxTriangles ?? MOST_TRIANGLES;
  if (format === 'stl-binary') checkTriangles(announcedFacets(bytes), name, most);
  const isGltf = format === 'glb' || format === 'gltf';
  const unit = options.unit ?? (isGltf ? 'm' : 'mm');
  const mmPerUnit = MM_PER_UNIT[unit];
  // Runs on another thread while the triangles are read. Awaited with them, so that neither failure is lost.
  const [hash, read] = await Promise.all([
    sha256(bytes, name),
    readTriangles(bytes, format, mmPerUnit, options),
  ]);
  const triangles = read.corners.length / 9;
  if (triangles === 0) {
    throw readError('read.no-triangles', name, 'the file holds no triangles', 'export the part again');
  }
  checkTriangles(triangles, name, most);
  const unitFrom = options.unit !== undefined ? 'option' : isGltf ? 'format' : 'default';
  return {
    corners: read.corners,
    source: { name: printable(name), format, sha256: hash, bytes: bytes.length, triangles, unit, unitFrom },
    findings: read.findings,
  };
}

async function readTriangles(
  bytes: Uint8Array,
  format: Soup['source']['format'],
  mmPerUnit: number,
  options: ReadOptions,
): Promise<ReadTriangles> {
  if (format === 'stl-binary') return readBinaryStl(bytes, options.name, mmPerUnit);
  if (format === 'stl-ascii') return readAsciiStl(bytes, options.name, mmPerUnit);
  // Loaded only when needed: the library costs more than reading a usual STL.
  const { readGltf } = await import('./gltf.js');
  return readGltf(bytes, {
    name: options.name,
    isBinary: format === 'glb',
    mmPerUnit,
    resources: options.resources ?? new Map(),
    maxTriangles: options.maxTriangles ?? MOST_TRIANGLES,
  });
}

import type { FileUnit } from './units.js';

/** Kinds of part files, as their content tells. */
export const FORMATS = [
  'stl-binary',
  'stl-ascii',
  'glb',
  'gltf',
  '3mf',
  'obj',
  'ply-ascii',
  'ply-binary',
  'step',
] as const;
export type Format = (typeof FORMATS)[number];

/** Why that unit: the format declares it, the file states it, the user said so, it was guessed, or nothing said. */
export const UNIT_ORIGINS = ['format', 'file', 'option', 'guess', 'default'] as const;
export type UnitFrom = (typeof UNIT_ORIGINS)[number];

/** Where a part came from. */
export interface Source {
  /** File name without its folder. */
  readonly name: string;
  readonly format: Format;
  /** Lower-case hexadecimal. */
  readonly sha256: string;
  readonly bytes: number;
  /** Triangles in the file. */
  readonly triangles: number;
  /** Of the coordinates as they were read. */
  readonly unit: FileUnit;
  readonly unitFrom: UnitFrom;
}

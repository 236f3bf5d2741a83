import type { Unit } from './units.js';

/** Where a part came from. */
export interface Source {
  /** File name without its folder. */
  readonly name: string;
  readonly format: 'stl-binary' | 'stl-ascii' | 'glb' | 'gltf';
  /** Lower-case hexadecimal. */
  readonly sha256: string;
  readonly bytes: number;
  /** Triangles in the file. */
  readonly triangles: number;
  readonly unit: Unit;
  /** Why that unit: the format declares it, the user said so, or nothing did. */
  readonly unitFrom: 'format' | 'option' | 'default';
}

import type { PerCorner } from './array-types.js';

/** What a long stage is given besides its input: where to tell its progress, and how to be stopped. */
export interface Context {
  /** Called with the stage's name and the fraction done, 0 to 1. */
  readonly progress?: (stage: string, fraction: number) => void;
  readonly signal?: AbortSignal;
  /** What the work may take; a part that needs more is refused as soon as its triangles are counted. */
  readonly memoryBytes?: number;
  /** Called once, as soon as the surface of the part is known: long before the rest of a survey. */
  readonly onSurface?: (surface: ShownSurface) => void;
  /** Bytes of a file that the part names, its path relative to the part; left out where no folder is at hand. */
  readonly readBeside?: (path: string) => Promise<Uint8Array>;
  /** Makes facets of a STEP file; left out where nothing can. */
  readonly meshStep?: StepMesher;
}

/** How closely facets keep to the true surface. */
export interface StepLimits {
  /** the most that a chord may miss the surface by */
  readonly chordMm: number;
  /** the most that neighbouring facets of one face may turn */
  readonly angleRad: number;
}

/**
 * @returns (9 T) corners of all solids and surfaces, mm, none if the file holds none
 * @throws {PartError} if the file cannot be read, or nothing is installed that reads it
 */
export type StepMesher = (bytes: Uint8Array, name: string, limits: StepLimits) => Promise<Float64Array>;

/** What a picture of a part needs. Not to be changed. */
export interface ShownSurface {
  /** (3 V) mm */
  readonly positions: Float64Array;
  /** (3 F) */
  readonly triangles: Uint32Array;
  /** (9 F) unit normals of the true surface at each corner */
  readonly normals: PerCorner<Float64Array>;
}

/** Throws the signal's reason if the caller has asked to stop; else reports progress. */
export function tick(context: Context, stage: string, fraction: number): void {
  context.signal?.throwIfAborted();
  context.progress?.(stage, fraction);
}

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
}

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

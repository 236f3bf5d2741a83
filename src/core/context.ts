/** What a long stage is given besides its input: where to tell its progress, and how to be stopped. */
export interface Context {
  /** Called with the stage's name and the fraction done, 0 to 1. */
  readonly progress?: (stage: string, fraction: number) => void;
  readonly signal?: AbortSignal;
}

/** Throws the signal's reason if the caller has asked to stop; else reports progress. */
export function tick(context: Context, stage: string, fraction: number): void {
  context.signal?.throwIfAborted();
  context.progress?.(stage, fraction);
}

import type { Engine } from '../node/worker-engine.js';

/** What every run ends with. */
export const EXIT = {
  done: 0,
  ourFault: 1,
  usage: 2,
  unusablePart: 3,
  strictFindings: 4,
  interrupted: 130,
} as const;
export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** The world a command lives in, so that tests need no process. */
export interface Io {
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  readonly outIsTerminal: boolean;
  readonly errIsTerminal: boolean;
  /** columns of the terminal on stdout, where it tells */
  readonly outColumns?: number | undefined;
  /** all bytes of stdin */
  readonly readIn: () => Promise<Uint8Array>;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly signal: AbortSignal;
  /** Loads the analysis; apart, so that help need not wait for it. */
  readonly loadEngine: () => Promise<Engine>;
}

/** Progress only where somebody sees it redrawn: a terminal that no machine runs. */
export function wantsProgress(
  io: Io,
  options: { readonly quiet?: boolean; readonly json?: boolean },
): boolean {
  return io.errIsTerminal && !options.quiet && !options.json && !io.env.CI && io.env.TERM !== 'dumb';
}

/** Colour on stdout: never if NO_COLOR is set to anything, else if FORCE_COLOR is, else on a terminal. */
export function wantsColour(io: Io): boolean {
  if (io.env.NO_COLOR) return false;
  if (io.env.FORCE_COLOR !== undefined && io.env.FORCE_COLOR !== '') return io.env.FORCE_COLOR !== '0';
  return io.outIsTerminal && io.env.TERM !== 'dumb';
}

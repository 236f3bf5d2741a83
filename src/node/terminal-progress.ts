/** At most ten redraws a second, and nothing at all for work that is done in half a second. */
const REDRAW_MS = 100;
const FIRST_MS = 500;

/**
 * One line that is redrawn in place: what is to come, stage and percentage.
 *
 * @param write to the terminal
 * @param nowMs a clock that does not go back, ms
 */
export function progressLine(write: (text: string) => void, nowMs: () => number) {
  const startMs = nowMs();
  let lastMs = -Infinity;
  let shown = 0,
    lead = '';
  return {
    progress(stage: string, fraction: number): void {
      const now = nowMs();
      if (now - startMs < FIRST_MS || now - lastMs < REDRAW_MS) return;
      lastMs = now;
      const text = `${lead}${stage} ${Math.floor(100 * Math.min(1, Math.max(0, fraction)))} %`;
      write(`\r${text.padEnd(shown)}`);
      shown = text.length;
    },
    /** What the line begins with from now on. */
    announce(toCome: string): void {
      lead = toCome;
    },
    /** Wipes the line, so that what follows starts clean. */
    clear(): void {
      if (shown > 0) write(`\r${' '.repeat(shown)}\r`);
      shown = 0;
    },
  };
}

export const SEVERITIES = ['info', 'warning', 'error'] as const;
export type Severity = (typeof SEVERITIES)[number];

/**
 * Something assumed, repaired, capped, skipped or doubtful. Nothing silent: every such thing is one of these.
 */
export interface Finding {
  /** Stable, dotted: `mesh.open-edges`, `unit.implausible`. */
  readonly code: string;
  readonly severity: Severity;
  /** One sentence: what, and what it means for the answer. */
  readonly message: string;
  /** How many of them. */
  readonly count: number;
  /** One place where it can be seen, mm; null where it has no place. */
  readonly whereMm: readonly [number, number, number] | null;
}

/** One finding; `count` and place may be left out where there is one of it, or no place. */
export const finding = (
  code: string,
  severity: Severity,
  message: string,
  count = 1,
  whereMm: Finding['whereMm'] = null,
): Finding => ({ code, severity, message, count, whereMm });

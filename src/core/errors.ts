/** The message of whatever was thrown. */
export const messageOf = (thrown: unknown): string =>
  thrown instanceof Error ? thrown.message : String(thrown);

/** What went wrong with a part or a file of the user's, in the three things the user needs to know. */
export interface PartErrorInfo {
  /** Stable, dotted: `read.truncated`, `mesh.empty`, `setup.unknown-key`. */
  readonly code: string;
  /** Where: a file name, a byte, a facet number, a key. */
  readonly where: string;
  /** What was got, and what was expected. */
  readonly what: string;
  /** What the user can do about it. */
  readonly remedy: string;
}

/**
 * The part (or a set-up, cutter or machine file) cannot be used. Exit code 3 on the command line.
 * A caller's own mistake is a `RangeError` or `TypeError` instead; a mere doubt is a finding.
 */
export class PartError extends Error {
  readonly info: PartErrorInfo;

  constructor(info: PartErrorInfo) {
    super(`${info.where}: ${info.what}; ${info.remedy}`);
    this.name = 'PartError';
    this.info = info;
  }
}

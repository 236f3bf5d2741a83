import { PartError } from '../core/errors.js';
import { finding, type Finding } from '../core/findings.js';

/** One job of the shop's own: what was reckoned, and what the clock said. */
export interface Job {
  readonly predictedMinutes: number;
  readonly actualMinutes: number;
}

/** A line that was not used. */
export interface RefusedLine {
  readonly line: number;
  readonly reason: string;
}

export type Calibration = Readonly<ReturnType<typeof calibrate>>;

/** Fewer jobs say nothing about a spread. */
const LEAST_JOBS = 3;
const MANY_JOBS = 10;

/**
 * Reads jobs from CSV text: a header with columns `predicted` and `actual` (anywhere, in minutes, predicted
 * with a `timeFactor` of 1), or no header and these two columns first. Comma, semicolon or tab; a decimal
 * comma where the columns are not parted by commas; blank lines and lines that begin with # are skipped.
 *
 * @param where name of the file, for messages
 * @returns the jobs, and every line refused with the reason
 * @throws {PartError} `calibrate.no-column` if a header lacks one of the two
 */
export function readJobs(text: string, where: string): { jobs: Job[]; refused: RefusedLine[] } {
  const jobs: Job[] = [],
    refused: RefusedLine[] = [];
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  const used = lines.filter((line) => !isSkipped(line));
  const separator = [';', '\t'].find((mark) => used.some((line) => line.includes(mark))) ?? ',';
  let columns: readonly [number, number] | null = null;
  lines.forEach((content, i) => {
    if (isSkipped(content)) return;
    const cells = content.split(separator).map((cell) =>
      cell
        .trim()
        .replace(/^"(.*)"$/, '$1')
        .trim(),
    );
    if (columns === null) {
      columns = headerColumns(cells, where);
      if (columns !== null) return;
      columns = [0, 1];
    }
    const [predicted, actual] = columns.map((column) => minutesOf(cells[column], separator));
    const line = i + 1;
    if (typeof predicted === 'string') refused.push({ line, reason: `predicted ${predicted}` });
    else if (typeof actual === 'string') refused.push({ line, reason: `actual ${actual}` });
    else jobs.push({ predictedMinutes: predicted, actualMinutes: actual });
  });
  return { jobs, refused };
}

const isSkipped = (line: string): boolean => /^\s*(#|$)/.test(line);

/** Columns of the two names, or null if the line holds figures and so is no header. */
function headerColumns(cells: readonly string[], where: string): readonly [number, number] | null {
  if (cells.some((cell) => /^[+-]?[\d.,]+$/.test(cell))) return null;
  const find = (name: string): number => {
    const at = cells.findIndex((cell) => cell.toLowerCase().startsWith(name));
    if (at >= 0) return at;
    throw new PartError({
      code: 'calibrate.no-column',
      where,
      what: `columns ${cells.join(', ')}; none begins with "${name}"`,
      remedy: 'name the columns predicted and actual',
    });
  };
  return [find('predicted'), find('actual')];
}

/** Minutes, or what is wrong with the cell. */
function minutesOf(cell: string | undefined, separator: string): number | string {
  if (cell === undefined || cell === '') return 'is missing';
  const plain = separator === ',' ? cell : cell.replace(',', '.');
  const minutes = /^\+?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : NaN;
  if (!Number.isFinite(minutes)) return `"${cell}" is no number of minutes`;
  return minutes > 0 ? minutes : `${cell} is not above 0`;
}

/**
 * The shop's own factor: the median of actual over predicted minutes.
 *
 * The median, because the errors of such lists are not small and even but few and gross (a break that was not
 * clocked out, a job run twice): up to half of the jobs may be wrong before it breaks, and a long job weighs
 * no more than a short one. The spread is the 10th to 90th percentile of the ratios over their median, by
 * straight lines between the ordered ratios (type 7 of Hyndman & Fan 1996, doi:10.2307/2684934; from memory).
 *
 * @throws {PartError} `calibrate.too-few` with fewer than three jobs
 */
export function calibrate(jobs: readonly Job[], refused: readonly RefusedLine[], where: string) {
  if (jobs.length < LEAST_JOBS) {
    const first = refused[0] ? ` (line ${refused[0].line}: ${refused[0].reason})` : '';
    throw new PartError({
      code: 'calibrate.too-few',
      where,
      what: `${jobs.length} usable jobs, ${refused.length} lines refused${first}`,
      remedy: `give at least ${LEAST_JOBS} jobs with predicted and actual minutes`,
    });
  }
  const ratios = Float64Array.from(jobs, (job) => job.actualMinutes / job.predictedMinutes).sort();
  const timeFactor = percentile(ratios, 0.5);
  const findings: Finding[] = [];
  const note = (code: string, message: string, count: number): void => {
    findings.push(finding(`calibrate.${code}`, 'warning', message, count));
  };
  if (refused.length > 0) {
    const list = refused
      .slice(0, 5)
      .map(({ line, reason }) => `line ${line}: ${reason}`)
      .join('; ');
    const more = refused.length > 5 ? '; ...' : '';
    note('refused-lines', `Lines of ${where} were not used: ${list}${more}.`, refused.length);
  }
  if (jobs.length < MANY_JOBS) {
    note('few-jobs', `Only ${jobs.length} jobs: the spread found is a guess.`, jobs.length);
  }
  return {
    /** what predicted minutes are multiplied by: the key `timeFactor` of a machine file */
    timeFactor,
    /** 10th and 90th percentile of actual over calibrated minutes: the key `timeSpread` */
    timeSpread: { low: percentile(ratios, 0.1) / timeFactor, high: percentile(ratios, 0.9) / timeFactor },
    jobs: jobs.length,
    findings,
  };
}

/** Value below which `share` of the ordered values lie, by straight lines between them. */
export function percentile(ordered: ArrayLike<number>, share: number): number {
  const at = share * (ordered.length - 1);
  const low = Math.floor(at),
    high = Math.ceil(at);
  return ordered[low] + (at - low) * (ordered[high] - ordered[low]);
}

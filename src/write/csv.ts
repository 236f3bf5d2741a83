import type { Plan } from '../plan/plan.js';
import { quoteRows, type Quote } from '../time/quote.js';
import { roundedForFile } from './number.js';

type Cell = string | number | null;

/** A spreadsheet would run a text that begins with one of these as a formula. */
const FORMULA_START = /^[=+\-@\t\r]/;

/**
 * A table as RFC 4180 says: comma, CRLF after every line, quotes doubled, the header first. UTF-8, no mark.
 *
 * @param rows numbers are written plain with a decimal point; null as an empty cell; a text that a
 *   spreadsheet would take for a formula gets a leading apostrophe
 * @throws {RangeError} if a row has not as many cells as the header, or a number is not finite
 */
export function csvText(header: readonly string[], rows: readonly (readonly Cell[])[]): string {
  const lines = [header, ...rows].map((row) => {
    if (row.length !== header.length) {
      throw new RangeError(`csvText: row of ${row.length} cells under a header of ${header.length}`);
    }
    return `${row.map(cellText).join(',')}\r\n`;
  });
  return lines.join('');
}

function cellText(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return String(roundedForFile(cell));
  const guarded = FORMULA_START.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(guarded) ? `"${guarded.replaceAll('"', '""')}"` : guarded;
}

/** A table from its columns: what each holds of a row, by its name in the header. */
const csvOf = <T>(
  rows: readonly T[],
  columns: Readonly<Record<string, (row: T, index: number) => Cell>>,
): string =>
  csvText(
    Object.keys(columns),
    rows.map((row, i) => Object.values(columns).map((cell) => cell(row, i))),
  );

/** zones.csv: one line per region. */
export const zonesCsv = (plan: Plan): string =>
  csvOf(plan.regions, {
    id: ({ id }) => id,
    class: (region) => region.class,
    areaMm2: ({ areaMm2 }) => areaMm2,
    minXMm: ({ boundsMm }) => boundsMm.min[0],
    minYMm: ({ boundsMm }) => boundsMm.min[1],
    minZMm: ({ boundsMm }) => boundsMm.min[2],
    maxXMm: ({ boundsMm }) => boundsMm.max[0],
    maxYMm: ({ boundsMm }) => boundsMm.max[1],
    maxZMm: ({ boundsMm }) => boundsMm.max[2],
    rings: ({ rings }) => rings.length,
  });

/**
 * cutters.csv: one line per rung of the ladder, in the order of use, with what is needed to order the cutter.
 */
export function cuttersCsv(plan: Plan): string {
  const byId = new Map(plan.setup.cutters.map((cutter) => [cutter.id, cutter]));
  const ordered = (key: 'APMX' | 'LU' | 'DN' | 'NOF') => (rung: Rung) =>
    byId.get(rung.cutterId)?.[key] ?? null;
  const own = (key: NumberOf<Rung>) => (rung: Rung) => rung[key];
  return csvOf(plan.ladder, {
    order: (_, i) => i + 1,
    cutterId: ({ cutterId }) => cutterId,
    stage: ({ stage }) => stage,
    DC: own('DC'),
    RE: own('RE'),
    APMX: ordered('APMX'),
    LU: ordered('LU'),
    DN: ordered('DN'),
    NOF: ordered('NOF'),
    stickoutMm: own('stickoutMm'),
    finishedAreaMm2: own('finishedAreaMm2'),
    unreachedAreaMm2: own('unreachedAreaMm2'),
    minutes: own('minutes'),
    placeholder: ({ cutterId }) => yesOrNo(byId.get(cutterId)?.placeholder ?? false),
    lengthToDiameter: own('lengthToDiameter'),
    deflectionRatio: own('deflectionRatio'),
    exceedsUsable: ({ exceedsUsable }) => (exceedsUsable === null ? null : yesOrNo(exceedsUsable)),
    savesMinutes: own('savesMinutes'),
    restAreaMm2: own('restAreaMm2'),
    restVolumeMm3: own('restVolumeMm3'),
    restGreatestMm: own('restGreatestMm'),
    restRegions: ({ restRegions }) => restRegions.length,
  });
}

type Rung = Plan['ladder'][number];
/** Keys of what is a number or not computed. */
type NumberOf<T> = { [K in keyof T]: T[K] extends number | null ? K : never }[keyof T];
const yesOrNo = (is: boolean): string => (is ? 'yes' : 'no');

/** quote.csv: one line per item of the quote sheet, the total last. */
export function quoteCsv(quote: Quote): string {
  const [header, ...rows] = quoteRows(quote);
  return csvText(header.map(String), rows);
}

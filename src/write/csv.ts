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

/** zones.csv: one line per region. */
export function zonesCsv(plan: Plan): string {
  const header = [
    'id',
    'class',
    'areaMm2',
    'minXMm',
    'minYMm',
    'minZMm',
    'maxXMm',
    'maxYMm',
    'maxZMm',
    'rings',
  ];
  return csvText(
    header,
    plan.regions.map((region) => [
      region.id,
      region.class,
      region.areaMm2,
      ...region.boundsMm.min,
      ...region.boundsMm.max,
      region.rings.length,
    ]),
  );
}

/**
 * cutters.csv: one line per rung of the ladder, in the order of use, with what is needed to order the cutter.
 */
export function cuttersCsv(plan: Plan): string {
  const header = [
    'order',
    'cutterId',
    'stage',
    'DC',
    'RE',
    'APMX',
    'LU',
    'DN',
    'NOF',
    'stickoutMm',
    'finishedAreaMm2',
    'unreachedAreaMm2',
    'minutes',
    'placeholder',
    'lengthToDiameter',
    'deflectionRatio',
    'exceedsUsable',
    'savesMinutes',
    'restAreaMm2',
    'restVolumeMm3',
    'restGreatestMm',
    'restRegions',
  ];
  const byId = new Map(plan.setup.cutters.map((cutter) => [cutter.id, cutter]));
  return csvText(
    header,
    plan.ladder.map((rung, i) => {
      const cutter = byId.get(rung.cutterId);
      return [
        i + 1,
        rung.cutterId,
        rung.stage,
        rung.DC,
        rung.RE,
        cutter?.APMX ?? null,
        cutter?.LU ?? null,
        cutter?.DN ?? null,
        cutter?.NOF ?? null,
        rung.stickoutMm,
        rung.finishedAreaMm2,
        rung.unreachedAreaMm2,
        rung.minutes,
        cutter?.placeholder ? 'yes' : 'no',
        rung.lengthToDiameter,
        rung.deflectionRatio,
        rung.exceedsUsable === null ? null : rung.exceedsUsable ? 'yes' : 'no',
        rung.savesMinutes,
        rung.restAreaMm2,
        rung.restVolumeMm3,
        rung.restGreatestMm,
        rung.restRegions.length,
      ];
    }),
  );
}

/** quote.csv: one line per item of the quote sheet, the total last. */
export function quoteCsv(quote: Quote): string {
  const [header, ...rows] = quoteRows(quote);
  return csvText(header.map(String), rows);
}

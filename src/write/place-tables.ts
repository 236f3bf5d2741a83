import type { TightRegion } from '../plan/plan.js';
import { placeButton } from './place-button.js';
import {
  areaText,
  htmlTable,
  lengthText,
  numbers,
  pointText,
  radiusText,
  words,
  type Column,
} from './report-numbers.js';
import { stickoutText } from './report-tables.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';

const text = TEXT.report,
  { heads } = text.tables;

/** Smaller places are folded away, mm²; so many of the largest stand open whatever their size, and no more. */
const SMALL_MM2 = 0.5,
  LEAST_OPEN = 5,
  MOST_OPEN = 20;
/** More rows than this make no one wiser: plan.json has them all. */
const MOST_ROWS = 200,
  PRINTED_ROWS = 6;

/** What every place has. */
export interface ListedPlace {
  readonly areaMm2: number;
}

/** A table of places by size: the largest open, the others folded and counted, and on paper a few. */
export function placeTable<T extends ListedPlace>(
  caption: string,
  places: readonly T[],
  columns: readonly Column<T>[],
): string {
  const sorted = [...places].sort((a, b) => b.areaMm2 - a.areaMm2);
  const isOpen = ({ areaMm2 }: T, i: number): boolean =>
    i < LEAST_OPEN || (i < MOST_OPEN && areaMm2 >= SMALL_MM2);
  const open = sorted.filter(isOpen),
    folded = sorted.slice(open.length);
  const table = (rows: readonly T[], name: string): string =>
    htmlTable(name, rows.slice(0, MOST_ROWS), columns, (i) => (i >= PRINTED_ROWS ? ' class="more"' : ''));
  const hint = (left: string, cls: string): string => `<p class="hint${cls}">${left}</p>`;
  const parts = [table(open, caption)];
  if (folded.length > 0) {
    const area = areaText(folded.reduce((sum, { areaMm2 }) => sum + areaMm2, 0));
    const told = text.smaller(folded.length, areaText(folded[0].areaMm2), area);
    const more = folded.length > MOST_ROWS ? hint(text.moreInPlan(folded.length - MOST_ROWS), '') : '';
    parts.push(
      `<details class="no-print"><summary>${told}</summary>${table(folded, `${caption}: ${told}`)}${more}</details>`,
    );
  }
  const printed = Math.min(PRINTED_ROWS, open.length);
  if (printed < sorted.length) parts.push(hint(text.printedOf(printed, sorted.length), ' paper-only'));
  return parts.join('');
}

/** Places that one cutter does not reach; each name is a button that shows the place in the view. */
export function tightTable(
  caption: string,
  places: readonly TightRegion[],
  nameOf: (place: TightRegion) => string,
): string {
  if (places.length === 0) return `<p><strong>${xmlText(caption)}:</strong> ${text.none}.</p>`;
  return placeTable(caption, places, [
    words(heads.place, (place) => placeButton(nameOf(place))),
    words(heads.at, ({ centreMm }) => pointText(centreMm)),
    numbers(heads.ballRadiusItTakes, ({ reachRadiusMm }) => radiusText(reachRadiusMm)),
    numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
    numbers(heads.belowTop, ({ depthMm }) => lengthText(depthMm, 1)),
    words(heads.finishedBy, ({ cutterId }) => xmlText(cutterId ?? TEXT.view.notAll)),
    numbers(heads.leastStickout, stickoutText),
  ]);
}

import { figure } from '../core/figures.js';
import { ballWords } from './place-names.js';
import { xmlText } from './svg-text.js';

const NARROW_SPACE = '\u202F';

/** A figure for people, groups of three digits apart. */
export function shown(value: number, decimals: number): string {
  const [whole, fraction] = figure(value, decimals).split('.');
  const grouped = whole.length > 4 ? whole.replaceAll(/\B(?=(\d{3})+$)/g, NARROW_SPACE) : whole;
  return fraction === undefined ? grouped : `${grouped}.${fraction}`;
}

export const areaText = (mm2: number): string => `${shown(mm2, 1)} mm²`;
export const minutesText = (minutes: number): string => `${shown(minutes, 1)} min`;

export const lengthText = (mm: number, decimals: number): string => `${shown(mm, decimals)} mm`;
/** What stands over the surface: greatest and mean are those of samples. */
export const thicknessText = (mm: number): string => lengthText(mm, 2);
export const pointText = (point: readonly number[]): string =>
  point.map((x) => shown(Math.round(10 * x) / 10, 1)).join(', ');

/** Names with a hyphen, and figures with their unit, and what stands on them: a line does not end within them. */
const WHOLE = /\S*-\S+|[(\d.\u202F]+ (?:mm[²³]?|min|%|× DC)(?!\w)\S*/g;

/** Words as HTML, whose names and figures stay whole where there is room for them. */
export const wrappable = (words: string): string =>
  xmlText(words).replaceAll(WHOLE, '<span class="whole">$&</span>');

/** Ball radius that a place needs, in words. */
export function radiusText(radiusMm: number | 'unlimited' | null): string {
  if (radiusMm === null) return 'not computed';
  return ballWords(radiusMm, (mm) => `${shown(mm, 3)} mm`);
}

/** A column of a table: its head, and the HTML of each row's cell, escaped already. */
export interface Column<T> {
  readonly head: string;
  readonly cell: (row: T, index: number) => string;
  readonly isRight: boolean;
  /** its cells may be broken between entries */
  readonly isList?: boolean;
}

/** A column of words. */
export const words = <T>(head: string, cell: Column<T>['cell']): Column<T> => ({
  head,
  cell,
  isRight: false,
});
/** A column of lists: what may not be broken stands in spans. */
export const lists = <T>(head: string, cell: Column<T>['cell']): Column<T> => ({
  ...words(head, cell),
  isList: true,
});
/** A column of numbers: they stand to the right. */
export const numbers = <T>(head: string, cell: Column<T>['cell']): Column<T> => ({
  head,
  cell,
  isRight: true,
});

/** An HTML table with a caption. */
export function htmlTable<T>(
  caption: string,
  rows: readonly T[],
  columns: readonly Column<T>[],
  rowAttributes: (row: number) => string = () => '',
): string {
  const cls = ({ isRight, isList }: Column<T>) =>
    isRight ? ' class="n"' : isList === true ? ' class="list"' : '';
  const head = columns.map((column) => `<th scope="col"${cls(column)}>${xmlText(column.head)}</th>`).join('');
  const body = rows.map((row, r) => {
    const inner = columns.map((column, i) =>
      i === 0
        ? `<th scope="row"${cls(column)}>${column.cell(row, r)}</th>`
        : `<td${cls(column)}>${column.cell(row, r)}</td>`,
    );
    return `<tr${rowAttributes(r)}>${inner.join('')}</tr>`;
  });
  return (
    `<div class="scroll" tabindex="0" role="group" aria-label="${xmlText(caption)}"><table><caption>${xmlText(caption)}</caption>` +
    `<thead><tr>${head}</tr></thead><tbody>\n${body.join('\n')}\n</tbody></table></div>`
  );
}

import { xmlText } from './svg-text.js';

const NARROW_SPACE = '\u202F';

/**
 * A number for people: at most so many decimals, groups of three apart. A small number that would vanish
 * keeps one digit.
 */
export function shown(value: number, decimals: number): string {
  const fixed = Number(value.toFixed(decimals));
  const text = fixed === 0 && value !== 0 ? String(Number(value.toPrecision(1))) : value.toFixed(decimals);
  const [whole, fraction] = text.split('.');
  const grouped = whole.length > 4 ? whole.replaceAll(/\B(?=(\d{3})+$)/g, NARROW_SPACE) : whole;
  const tail = fraction?.replace(/0+$/, '') ?? '';
  return tail === '' ? grouped : `${grouped}.${tail}`;
}

export const areaText = (mm2: number): string => `${shown(mm2, 1)} mm²`;
export const minutesText = (minutes: number): string => `${shown(minutes, 1)} min`;

/** Ball radius that a place needs, in words. */
export function radiusText(radiusMm: number | 'unlimited' | null): string {
  if (radiusMm === null) return 'not computed';
  if (radiusMm === 'unlimited') return 'no limit';
  return radiusMm === 0 ? 'sharp, no ball' : `${shown(radiusMm, 3)} mm`;
}

/** A cell of a table; numbers stand to the right. */
export interface Column {
  readonly head: string;
  readonly right?: boolean;
}

/**
 * An HTML table with a caption.
 *
 * @param rows HTML of each cell, escaped already
 */
export function htmlTable(
  caption: string,
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  rowAttributes?: (row: number) => string,
): string {
  const cls = (i: number) => (columns[i].right ? ' class="n"' : '');
  const head = columns.map(({ head: text }, i) => `<th scope="col"${cls(i)}>${xmlText(text)}</th>`).join('');
  const body = rows
    .map((cells, r) => {
      const inner = cells.map((cell, i) =>
        i === 0 ? `<th scope="row"${cls(0)}>${cell}</th>` : `<td${cls(i)}>${cell}</td>`,
      );
      return `<tr${rowAttributes?.(r) ?? ''}>${inner.join('')}</tr>`;
    })
    .join('\n');
  return (
    `<div class="scroll" tabindex="0" role="group" aria-label="${xmlText(caption)}"><table><caption>${xmlText(caption)}</caption>` +
    `<thead><tr>${head}</tr></thead><tbody>\n${body}\n</tbody></table></div>`
  );
}

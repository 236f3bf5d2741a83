import { cutText, mmText, niceLengthMm, xmlText } from './svg-text.js';

/** Lettering heights of ISO 3098 and line widths of ISO 128 that the sheet uses, mm. */
export const LETTER_MM = 2.5;
export const LARGE_LETTER_MM = 3.5;
export const THIN_MM = 0.18;
export const WIDE_MM = 0.5;
/** Mean width of a letter of a plain face, in its height. */
const LETTER_WIDTH = 0.58;
export const INK = '#111111';
/** Width left free round a sheet. */
export const FRAME_MM = 10;

export const lineElement = (x1: number, y1: number, x2: number, y2: number, widthMm = THIN_MM): string =>
  `<path d="M${mmText(x1)} ${mmText(y1)}L${mmText(x2)} ${mmText(y2)}" stroke="${INK}" stroke-width="${widthMm}"/>`;

export function textElement(
  x: number,
  y: number,
  text: string,
  options: { size?: number; anchor?: 'start' | 'middle' | 'end'; turn?: boolean } = {},
): string {
  const { size = LETTER_MM, anchor = 'start', turn = false } = options;
  const turned = turn ? ` transform="rotate(-90 ${mmText(x)} ${mmText(y)})"` : '';
  return `<text x="${mmText(x)}" y="${mmText(y)}" font-size="${size}" text-anchor="${anchor}"${turned}>${xmlText(text)}</text>`;
}

/** The text, its end cut off and marked so, if it would be wider than `widthMm`. */
export function fittedText(text: string, widthMm: number, size = LETTER_MM): string {
  return cutText(text, Math.max(1, Math.floor(widthMm / (LETTER_WIDTH * size))));
}

/** Filled arrow head with its tip at (x, y), pointing along (ux, uy). */
function arrowHead(x: number, y: number, ux: number, uy: number): string {
  const back = (side: number) =>
    `${mmText(x - 2.5 * ux + side * 0.4 * uy)} ${mmText(y - 2.5 * uy - side * 0.4 * ux)}`;
  return `<path d="M${mmText(x)} ${mmText(y)}L${back(1)}L${back(-1)}Z" fill="${INK}"/>`;
}

/**
 * Length of the part between two paper positions, `gap` away from it: across below, or up along its left
 * side.
 */
export function dimension(
  from: number,
  to: number,
  edge: number,
  gap: number,
  text: string,
  isUpright: boolean,
): string {
  const sign = isUpright ? -1 : 1,
    at = edge + sign * gap;
  // Along the dimension, then across it: x and y, or y and x.
  const line = (along1: number, across1: number, along2: number, across2: number): string =>
    isUpright ? lineElement(across1, along1, across2, along2) : lineElement(along1, across1, along2, across2);
  const head = (along: number, way: number): string =>
    isUpright ? arrowHead(at, along, 0, way) : arrowHead(along, at, way, 0);
  const middle = (from + to) / 2;
  return [
    line(from, edge + sign, from, at + 1.5 * sign),
    line(to, edge + sign, to, at + 1.5 * sign),
    line(from, at, to, at),
    head(from, -1),
    head(to, 1),
    isUpright
      ? textElement(at - 1, middle, text, { anchor: 'middle', turn: true })
      : textElement(middle, at - 1, text, { anchor: 'middle' }),
  ].join('');
}

/** Bar of alternating fields that is a round length of the part, with its ends lettered. */
export function scaleBar(x: number, y: number, scale: number, mostMm: number): string {
  const length = niceLengthMm(mostMm / scale);
  const field = (length * scale) / 5;
  const fields = [0, 1, 2, 3, 4].map(
    (i) =>
      `<rect x="${mmText(x + i * field)}" y="${mmText(y)}" width="${mmText(field)}" height="1.5" ` +
      `fill="${i % 2 === 0 ? INK : '#FFFFFF'}" stroke="${INK}" stroke-width="${THIN_MM}"/>`,
  );
  return (
    `<g id="scale-bar">${fields.join('')}${textElement(x, y - 1, '0')}` +
    `${textElement(x + 5 * field, y - 1, `${length} mm`, { anchor: 'middle' })}</g>`
  );
}

/** The two plan axes of the set-up, as arrows. */
export function axesMark(x: number, y: number): string {
  return (
    `<g id="axes">${lineElement(x, y, x + 8, y)}${arrowHead(x + 8, y, 1, 0)}${textElement(x + 9, y + 0.9, 'X')}` +
    `${lineElement(x, y, x, y - 8)}${arrowHead(x, y - 8, 0, -1)}${textElement(x, y - 9, 'Y', { anchor: 'middle' })}</g>`
  );
}

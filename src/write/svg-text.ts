import type { Rings } from '../outlines/ring-measures.js';
import { roundedPlanMm } from './number.js';

/** Text made safe for XML content and attributes; characters that XML 1.0 forbids become U+FFFD. */
export function xmlText(text: string): string {
  return text
    .replace(/[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu, '\uFFFD')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&apos;');
}

/** The text in at most so many letters, its end cut off and marked so. */
export function cutText(text: string, most: number): string {
  const letters = [...text];
  return letters.length <= most ? text : `${letters.slice(0, most - 1).join('')}…`;
}

/** Four decimals at most, mm. @throws {RangeError} if it is not finite */
export const mmText = (value: number): string => String(roundedPlanMm(value));

/** Path data of closed rings: y, up in plan, turned down here and nowhere else. */
export function pathData(rings: Rings): string {
  return rings
    .map((ring) => {
      const points: string[] = [];
      for (let i = 0; i < ring.length; i += 2) points.push(`${mmText(ring[i])} ${mmText(-ring[i + 1])}`);
      return `M${points.join('L')}Z`;
    })
    .join('');
}

/** The longest of 1, 2, 5, 10, 20, 50 ... mm that is not above `limitMm`. */
export function niceLengthMm(limitMm: number): number {
  const decade = 10 ** Math.floor(Math.log10(limitMm) + 1e-9);
  return [5, 2, 1].map((digit) => digit * decade).find((length) => length <= limitMm * (1 + 1e-9)) ?? decade;
}

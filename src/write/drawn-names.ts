import { INK, LETTER_MM, textElement, THIN_MM } from './drawing-parts.js';
import { mmText } from './svg-text.js';

/** How far a name may stand from its place, nearest first, and in how many directions it is tried. */
const NAME_AWAY_MM = [2, 3.5, 5.5, 8, 11, 15],
  NAME_WAYS = 16;
/** More names make no drawing. */
const MOST_NAMES = 80;
/** Of a letter, in its height. */
const NAME_LETTER = 0.6;

/**
 * Names beside their places, each on a leader too short to cross the part, where it covers no other mark; those for
 * which there is no room are counted.
 *
 * @param places on paper, mm
 * @param marks that names keep off
 * @param field that they keep to
 */
export function drawnNames(
  places: readonly { readonly name: string; readonly at: readonly [number, number] }[],
  marks: readonly Box[],
  field: Box,
): { svg: string; left: number } {
  const named = places.slice(0, MOST_NAMES);
  const taken: Box[] = [...marks, ...named.map(({ at: [x, y] }) => boxAbout(x, y, 1.6, 1.6))];
  const drawn = named.flatMap(({ name, at: [x, y] }) => {
    const width = NAME_LETTER * LETTER_MM * name.length + 0.8,
      height = LETTER_MM + 0.6;
    const spot = NAME_AWAY_MM.flatMap((away) =>
      Array.from({ length: NAME_WAYS }, (_, i) => {
        const turn = (2 * Math.PI * i) / NAME_WAYS;
        return boxAbout(
          x + Math.cos(turn) * (away + width / 2),
          y - Math.sin(turn) * (away + height / 2),
          width,
          height,
        );
      }),
    ).find((box) => isWithin(box, field) && taken.every((other) => !overlaps(box, other)));
    if (spot === undefined) return [];
    taken.push(spot);
    const [nearX, nearY] = [
      Math.min(spot.right, Math.max(spot.left, x)),
      Math.min(spot.bottom, Math.max(spot.top, y)),
    ];
    const leader = `<path d="M${mmText(x)} ${mmText(y)}L${mmText(nearX)} ${mmText(nearY)}" stroke="${INK}" stroke-width="${THIN_MM}"/>`;
    const label =
      `<circle cx="${mmText(x)}" cy="${mmText(y)}" r="0.7" fill="#FFFFFF" stroke="${INK}" stroke-width="0.3"/>` +
      `<rect x="${mmText(spot.left)}" y="${mmText(spot.top)}" width="${mmText(width)}" height="${mmText(height)}" fill="#FFFFFF"/>` +
      textElement((spot.left + spot.right) / 2, spot.bottom - 0.75, name, { anchor: 'middle' });
    return [{ leader, label }];
  });
  // No leader runs over a name.
  const svg = [...drawn.map(({ leader }) => leader), ...drawn.map(({ label }) => label)].join('\n');
  return { svg, left: places.length - drawn.length };
}

export interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}
export const boxAbout = (x: number, y: number, width: number, height: number): Box => ({
  left: x - width / 2,
  right: x + width / 2,
  top: y - height / 2,
  bottom: y + height / 2,
});
const overlaps = (a: Box, b: Box): boolean =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
const isWithin = (a: Box, field: Box): boolean =>
  a.left >= field.left && a.right <= field.right && a.top >= field.top && a.bottom <= field.bottom;

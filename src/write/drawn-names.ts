import { INK, LETTER_MM, textElement, THIN_MM } from './drawing-parts.js';
import { mmText } from './svg-text.js';

/** How far a name may stand from its place, nearest first, and in how many directions it is tried. */
const NAME_AWAY_MM = [2, 3.5, 5.5, 8, 11, 15],
  NAME_WAYS = 16;
/** More names make no drawing. */
const MOST_NAMES = 80;
/** Of a letter, in its height. */
const NAME_LETTER = 0.6;
/** Side of what names keep off about the mark of a place. */
const DOT_MM = 1.6;

/**
 * Names beside their places, each on a leader too short to cross the part, where it covers no other mark and leaders
 * run neither over marks nor over each other; those for which there is no room are counted.
 *
 * @param places on paper, mm
 * @param marks that names keep off
 * @param field that they keep to
 */
export function drawnNames(
  places: readonly { readonly name: string; readonly at: Point }[],
  marks: readonly Box[],
  field: Box,
): { svg: string; left: number } {
  const named = places.slice(0, MOST_NAMES);
  const dots = named.map(({ at: [x, y] }) => boxAbout(x, y, DOT_MM, DOT_MM));
  const taken: Box[] = [...marks, ...dots],
    leaders: Leader[] = [];
  const drawn = named.flatMap(({ name, at }) => {
    const width = NAME_LETTER * LETTER_MM * name.length + 0.8,
      height = LETTER_MM + 0.6;
    const isFree = (box: Box): boolean => {
      const leader = [at, nearestIn(box, at)] as const;
      return (
        isWithin(box, field) &&
        // The mark of its own place, and of others there, is where it begins.
        taken.every(
          (other) => !overlaps(box, other) && (nearestIn(other, at) === at || !runsOver(leader, other)),
        ) &&
        leaders.every((other) => !runsOver(other, box) && !doCross(leader, other))
      );
    };
    const spot = spotsAbout(at, width, height).find(isFree);
    if (spot === undefined) return [];
    taken.push(spot);
    const [[x, y], [nearX, nearY]] = [at, nearestIn(spot, at)];
    leaders.push([at, [nearX, nearY]]);
    const leader = `<path d="M${mmText(x)} ${mmText(y)}L${mmText(nearX)} ${mmText(nearY)}" stroke="${INK}" stroke-width="${THIN_MM}"/>`;
    const label =
      `<circle cx="${mmText(x)}" cy="${mmText(y)}" r="0.7" fill="#FFFFFF" stroke="${INK}" stroke-width="0.3"/>` +
      `<rect x="${mmText(spot.left)}" y="${mmText(spot.top)}" width="${mmText(width)}" height="${mmText(height)}" fill="#FFFFFF"/>` +
      textElement((spot.left + spot.right) / 2, spot.bottom - 0.75, name, { anchor: 'middle' });
    return [{ leader, label }];
  });
  const svg = [...drawn.map(({ leader }) => leader), ...drawn.map(({ label }) => label)].join('\n');
  return { svg, left: places.length - drawn.length };
}

/** Where a name may stand, in the order in which it is tried. */
const spotsAbout = ([x, y]: Point, width: number, height: number): Box[] =>
  NAME_AWAY_MM.flatMap((away) =>
    Array.from({ length: NAME_WAYS }, (_, i) => {
      const turn = (2 * Math.PI * i) / NAME_WAYS;
      return boxAbout(
        x + Math.cos(turn) * (away + width / 2),
        y - Math.sin(turn) * (away + height / 2),
        width,
        height,
      );
    }),
  );

type Point = readonly [number, number];
type Leader = readonly [Point, Point];

/** The point of a box next to another; that itself where it lies in it. */
const nearestIn = (box: Box, at: Point): Point =>
  at[0] >= box.left && at[0] <= box.right && at[1] >= box.top && at[1] <= box.bottom
    ? at
    : [Math.min(box.right, Math.max(box.left, at[0])), Math.min(box.bottom, Math.max(box.top, at[1]))];

const turnOf = ([ax, ay]: Point, [bx, by]: Point, [cx, cy]: Point): number =>
  (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);

const doCross = ([a, b]: Leader, [c, d]: Leader): boolean =>
  turnOf(a, b, c) * turnOf(a, b, d) < 0 && turnOf(c, d, a) * turnOf(c, d, b) < 0;

/** Whether a leader runs into a box: over one of its diagonals. */
const runsOver = (leader: Leader, { left, right, top, bottom }: Box): boolean =>
  doCross(leader, [
    [left, top],
    [right, bottom],
  ]) ||
  doCross(leader, [
    [left, bottom],
    [right, top],
  ]);

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

import type { FacetNormals } from './facet-normals.js';

/** A unit vector. */
export type Direction = readonly [number, number, number];

/** Normals are gathered in cells of the unit ball's box so wide: about a third of a degree. */
const CELLS = 200;
/** A flat face counts as large from this share of the part's surface on. */
const LARGE_SHARE = 0.02;
/** Directions closer than this are one, as a cosine: half a degree. */
const SAME_COSINE = Math.cos((0.5 * Math.PI) / 180);

/** Whether two directions are one and the same. */
export const isSame = (a: Direction, b: Direction): boolean =>
  a[0] * b[0] + a[1] * b[1] + a[2] * b[2] > SAME_COSINE;

/**
 * Directions that much flat surface faces, most first. A curved surface faces none for long, so it has none.
 *
 * @param most how many at most
 */
export function flatDirections({ normals, areas }: FacetNormals, most: number): Direction[] {
  const cells = new Map<number, [number, number, number]>();
  const cell = (value: number): number => Math.round(CELLS * value) + CELLS;
  const span = 2 * CELLS + 1;
  let total = 0;
  for (let f = 0; f < areas.length; f++) {
    const x = normals[3 * f],
      y = normals[3 * f + 1],
      z = normals[3 * f + 2];
    const key = (cell(x) * span + cell(y)) * span + cell(z);
    const sum = cells.get(key) ?? [0, 0, 0];
    sum[0] += areas[f] * x;
    sum[1] += areas[f] * y;
    sum[2] += areas[f] * z;
    cells.set(key, sum);
    total += areas[f];
  }
  const large = [...cells.values()]
    .map((sum) => ({ sum, area: Math.sqrt(sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]) }))
    .filter(({ area }) => area > LARGE_SHARE * total)
    .sort((a, b) => b.area - a.area);
  return distinct(
    large.map(({ sum, area }): Direction => [sum[0] / area, sum[1] / area, sum[2] / area]),
  ).slice(0, most);
}

/** Directions, none twice. */
export const distinct = (directions: readonly Direction[]): Direction[] =>
  directions.filter((one, i) => !directions.slice(0, i).some((other) => isSame(one, other)));

/** What a function says of the first of directions that are the same. */
export function listedFirst<T>(make: (direction: Direction) => T): (direction: Direction) => T {
  const known: { readonly direction: Direction; readonly said: T }[] = [];
  return (direction) => {
    const found = known.find((one) => isSame(one.direction, direction));
    if (found) return found.said;
    const said = make(direction);
    known.push({ direction, said });
    return said;
  };
}

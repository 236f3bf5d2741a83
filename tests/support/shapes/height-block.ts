import { soupBuilder, type Point } from './soup.js';

/**
 * A block under a height over a lattice, closed: top and bottom in two facets a cell, sides in two facets an
 * edge.
 *
 * @param xs ascending, mm; `ys` likewise
 */
export function heightBlock(
  xs: readonly number[],
  ys: readonly number[],
  height: (x: number, y: number) => number,
): Float64Array {
  const soup = soupBuilder();
  const at = (i: number, j: number, z?: number): Point => [xs[i], ys[j], z ?? height(xs[i], ys[j])];
  const quad = (a: Point, b: Point, c: Point, d: Point): void => {
    soup.triangle(a, b, c);
    soup.triangle(a, c, d);
  };
  const m = xs.length - 1,
    n = ys.length - 1;
  for (let i = 0; i < m; i++) {
    for (let j = 0; j < n; j++) {
      quad(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
      quad(at(i, j, 0), at(i, j + 1, 0), at(i + 1, j + 1, 0), at(i + 1, j, 0));
    }
    quad(at(i, 0, 0), at(i + 1, 0, 0), at(i + 1, 0), at(i, 0));
    quad(at(i + 1, n, 0), at(i, n, 0), at(i, n), at(i + 1, n));
  }
  for (let j = 0; j < n; j++) {
    quad(at(0, j + 1, 0), at(0, j, 0), at(0, j), at(0, j + 1));
    quad(at(m, j, 0), at(m, j + 1, 0), at(m, j + 1), at(m, j));
  }
  return soup.corners();
}

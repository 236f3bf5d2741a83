import { joined } from './shapes.js';
import type { Point } from './shapes/soup.js';

/** Corners of facet `f` of a soup. */
export const facetAt = (soup: Float64Array, f: number): [Point, Point, Point] => {
  const corner = (k: number): Point => [
    soup[9 * f + 3 * k],
    soup[9 * f + 3 * k + 1],
    soup[9 * f + 3 * k + 2],
  ];
  return [corner(0), corner(1), corner(2)];
};
export const facetsOf = (soup: Float64Array): [Point, Point, Point][] =>
  Array.from({ length: soup.length / 9 }, (_, f) => facetAt(soup, f));
/** Facets as a soup. */
export const cornersOf = (facets: readonly (readonly Point[])[]): Float64Array =>
  Float64Array.from(facets.flat(2));

/** Weighted mean of two places. */
export const between = (a: Point, b: Point, s: number): Point => [
  a[0] + s * (b[0] - a[0]),
  a[1] + s * (b[1] - a[1]),
  a[2] + s * (b[2] - a[2]),
];
export const middleOf = ([a, b, c]: readonly Point[]): Point => between(between(a, b, 0.5), c, 1 / 3);

/** The soup without some facets. */
export const punched = (soup: Float64Array, facets: readonly number[]): Float64Array =>
  cornersOf(facetsOf(soup).filter((_, f) => !facets.includes(f)));

/** Some facets the other way round. */
export const reversed = (soup: Float64Array, facets?: readonly number[]): Float64Array =>
  cornersOf(facetsOf(soup).map(([a, b, c], f) => (!facets || facets.includes(f) ? [a, c, b] : [a, b, c])));

/** Some facets once more, at the end; turned round if asked for. */
export const repeated = (soup: Float64Array, facets: readonly number[]): Float64Array =>
  joined(soup, cornersOf(facets.map((f) => facetAt(soup, f))));

/** With facets that have no area: two corners in one place. */
export const withNeedles = (soup: Float64Array, facets: readonly number[]): Float64Array =>
  joined(
    soup,
    cornersOf(
      facets.map((f) => {
        const [a, b] = facetAt(soup, f);
        return [a, b, b];
      }),
    ),
  );

/** The first corner of some facets pulled `by` mm towards the facet's middle: cracks along two of its sides. */
export const cracked = (soup: Float64Array, facets: readonly number[], by: number): Float64Array =>
  cornersOf(
    facetsOf(soup).map((facet, f) => {
      if (!facets.includes(f)) return facet;
      const [a, b, c] = facet,
        to = middleOf(facet);
      const length = Math.hypot(...a.map((x, k) => to[k] - x));
      return [between(a, to, by / length), b, c];
    }),
  );

/** Some facets halved at the middle of their first side, of which the neighbour knows nothing. */
export const halved = (soup: Float64Array, facets: readonly number[]): Float64Array =>
  cornersOf(
    facetsOf(soup).flatMap(([a, b, c], f) => {
      if (!facets.includes(f)) return [[a, b, c]];
      const m = between(a, b, 0.5);
      return [
        [a, m, c],
        [m, b, c],
      ];
    }),
  );

/** A fin on the first side of some facets, standing `out` mm from the middle of the facet: an edge of three facets each. */
export const withFins = (soup: Float64Array, facets: readonly number[], out: number): Float64Array =>
  joined(
    soup,
    cornersOf(
      facets.map((f) => {
        const [a, b] = facetAt(soup, f);
        return [a, b, offFacet(soup, f, out)];
      }),
    ),
  );

/** A place over the middle of a facet, on its outer side. */
export function offFacet(soup: Float64Array, f: number, out: number): Point {
  const [a, b, c] = facetAt(soup, f),
    [x, y, z] = middleOf([a, b, c]);
  const [u, v] = [b, c].map((p) => p.map((q, k) => q - a[k]));
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const by = out / Math.hypot(...n);
  return [x + by * n[0], y + by * n[1], z + by * n[2]];
}

/** A closed tetrahedron on the place, `size` mm, its first corner there and the others above and around `towards`. */
export function tetrahedron(at: Point, towards: Point, size: number): Float64Array {
  const axis = towards.map((x, k) => x - at[k]),
    length = Math.hypot(...axis);
  const [x, y, z] = axis.map((d) => d / length);
  // Two directions across the axis.
  const u = Math.abs(x) < 0.5 ? [0, -z, y] : [z, 0, -x],
    size2 = Math.hypot(...u);
  const p = u.map((d) => d / size2);
  const q = [y * p[2] - z * p[1], z * p[0] - x * p[2], x * p[1] - y * p[0]];
  const corner = (turn: number): Point => {
    const [c, s] = [0.4 * Math.cos(turn), 0.4 * Math.sin(turn)];
    const along = (k: number): number => at[k] + size * ([x, y, z][k] + c * p[k] + s * q[k]);
    return [along(0), along(1), along(2)];
  };
  const third = (2 * Math.PI) / 3;
  const [b, c, d] = [corner(0), corner(third), corner(2 * third)];
  return cornersOf([
    [at, c, b],
    [at, d, c],
    [at, b, d],
    [b, c, d],
  ]);
}

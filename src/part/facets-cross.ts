import type { Mesh } from './types.js';

/**
 * Whether two facets have more in common than touch: they cut through each other, or lie in one plane and
 * overlap. What vertices they share counts as touch.
 *
 * Two triangles cross where each has corners on both sides of the other's plane and the pieces of the planes' common
 * line that lie in them overlap (Möller 1997, doi:10.1080/10867651.1997.10487472); in one plane, where no
 * side of either parts them.
 *
 * @param touchMm nearer than this is touch
 */
export function facetsCross(mesh: Mesh, touchMm: number): (f: number, g: number) => boolean {
  const one = facetRoom(),
    two = facetRoom();
  let loaded = -1,
    isFacet = false;
  return (f, g) => {
    // Asked about one facet and many others, one after the other.
    if (f !== loaded) {
      load(mesh, one, f);
      isFacet = turnTo(one);
      loaded = f;
    }
    if (!isFacet) return false;
    load(mesh, two, g);
    const there = sides(two, one, touchMm);
    // Most pairs are settled here, before anything is known of the other's plane.
    if ((there !== 0 && there !== BOTH) || !turnTo(two)) return false;
    if (there === 0) return !isParted(one, two, touchMm) && !isParted(two, one, touchMm);
    if (sides(one, two, touchMm) !== BOTH) return false;
    const x = one.n[1] * two.n[2] - one.n[2] * two.n[1],
      y = one.n[2] * two.n[0] - one.n[0] * two.n[2],
      z = one.n[0] * two.n[1] - one.n[1] * two.n[0];
    const length = Math.sqrt(x * x + y * y + z * z);
    if (!(length > 0)) return false;
    alongLine(one, x / length, y / length, z / length);
    alongLine(two, x / length, y / length, z / length);
    return Math.min(one.span[1], two.span[1]) - Math.max(one.span[0], two.span[0]) > touchMm;
  };
}

/** Sides of a plane on which corners lie, as bits. */
const ABOVE = 1,
  BELOW = 2,
  BOTH = 3;

const facetRoom = () => ({
  at: new Float64Array(9),
  n: new Float64Array(3),
  vertex: new Int32Array(3),
  height: new Float64Array(3),
  span: new Float64Array(2),
});
type FacetRoom = ReturnType<typeof facetRoom>;

/** Takes in a facet's corners. */
function load({ positions: p, triangles }: Mesh, { at, vertex }: FacetRoom, f: number): void {
  for (let k = 0; k < 3; k++) {
    const v = triangles[3 * f + k];
    vertex[k] = v;
    at[3 * k] = p[3 * v];
    at[3 * k + 1] = p[3 * v + 1];
    at[3 * k + 2] = p[3 * v + 2];
  }
}

/** Takes in the normal of its corners; false if they have no area. */
function turnTo({ at, n }: FacetRoom): boolean {
  const ux = at[3] - at[0],
    uy = at[4] - at[1],
    uz = at[5] - at[2],
    vx = at[6] - at[0],
    vy = at[7] - at[1],
    vz = at[8] - at[2];
  const x = uy * vz - uz * vy,
    y = uz * vx - ux * vz,
    z = ux * vy - uy * vx;
  const length = Math.sqrt(x * x + y * y + z * z);
  n[0] = x / length;
  n[1] = y / length;
  n[2] = z / length;
  return length > 0;
}

/** Takes in how high each corner lies over the other's plane; on which sides of it some do, 0: all in it. */
function sides({ at, vertex, height }: FacetRoom, other: FacetRoom, touchMm: number): number {
  const { n, at: o, vertex: shared } = other;
  let seen = 0;
  for (let k = 0; k < 3; k++) {
    const i = 3 * k,
      v = vertex[k];
    const high = n[0] * (at[i] - o[0]) + n[1] * (at[i + 1] - o[1]) + n[2] * (at[i + 2] - o[2]);
    const touches = Math.abs(high) <= touchMm || v === shared[0] || v === shared[1] || v === shared[2];
    height[k] = touches ? 0 : high;
    if (!touches) seen |= high > 0 ? ABOVE : BELOW;
  }
  return seen;
}

/** Where along a line in both planes a facet with corners on both sides begins and ends. */
function alongLine({ at, height, span }: FacetRoom, x: number, y: number, z: number): void {
  span[0] = Infinity;
  span[1] = -Infinity;
  for (let k = 0; k < 3; k++) {
    const l = k === 2 ? 0 : k + 1,
      a = height[k],
      b = height[l];
    if (a !== 0 && a > 0 === b > 0 && b !== 0) continue;
    if (a !== 0 && b === 0) continue;
    const s = a === 0 ? 0 : a / (a - b);
    const here = (i: number): number => at[3 * k + i] + s * (at[3 * l + i] - at[3 * k + i]);
    const t = x * here(0) + y * here(1) + z * here(2);
    if (t < span[0]) span[0] = t;
    if (t > span[1]) span[1] = t;
  }
}

/** Whether, of two triangles in one plane, a side of the first has the other beyond it. */
function isParted({ at, n }: FacetRoom, { at: other }: FacetRoom, touchMm: number): boolean {
  for (let k = 0; k < 3; k++) {
    const a = 3 * k,
      b = k === 2 ? 0 : a + 3;
    const dx = at[b] - at[a],
      dy = at[b + 1] - at[a + 1],
      dz = at[b + 2] - at[a + 2];
    // Across the side, out of its triangle.
    const x = dy * n[2] - dz * n[1],
      y = dz * n[0] - dx * n[2],
      z = dx * n[1] - dy * n[0];
    const beyond = touchMm * Math.sqrt(x * x + y * y + z * z);
    let least = Infinity;
    for (let i = 0; i < 9; i += 3) {
      least = Math.min(
        least,
        x * (other[i] - at[a]) + y * (other[i + 1] - at[a + 1]) + z * (other[i + 2] - at[a + 2]),
      );
    }
    if (least >= -beyond) return true;
  }
  return false;
}

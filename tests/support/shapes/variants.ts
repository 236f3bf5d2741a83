import { RAD_PER_DEG } from '../../../src/core/units.js';

/** The same solid, given otherwise. */
export interface Variant {
  readonly name: string;
  readonly corners: Float64Array;
  /** lengths in this variant per length in the original */
  readonly scale: number;
}

/** Turned about z through the origin, counter-clockwise seen from above. */
export function turned(corners: Float64Array, degrees: number): Float64Array {
  const [c, s] = [Math.cos(degrees * RAD_PER_DEG), Math.sin(degrees * RAD_PER_DEG)];
  return mapPoints(corners, (x, y, z) => [c * x - s * y, s * x + c * y, z]);
}

/** Moved by (x, y, z). */
export function moved(corners: Float64Array, by: readonly [number, number, number]): Float64Array {
  return mapPoints(corners, (x, y, z) => [x + by[0], y + by[1], z + by[2]]);
}

/** Every length times `factor`. */
export const scaled = (corners: Float64Array, factor: number): Float64Array => corners.map((x) => x * factor);

/** Coordinates as a binary STL keeps them. */
export const rounded = (corners: Float64Array): Float64Array => corners.map(Math.fround);

/**
 * Same triangles in another order, each beginning at another corner; the same for the same seed (an
 * integer).
 */
export function permuted(corners: Float64Array, seed: number): Float64Array {
  const count = corners.length / 9;
  const random = randomNumbers(seed);
  const order = Uint32Array.from({ length: count }, (_, f) => f);
  for (let f = count - 1; f > 0; f--) {
    const other = Math.floor(random() * (f + 1));
    [order[f], order[other]] = [order[other], order[f]];
  }
  const out = new Float64Array(corners.length);
  order.forEach((from, to) => {
    const first = Math.floor(random() * 3);
    for (let i = 0; i < 9; i++) out[9 * to + i] = corners[9 * from + ((i + 3 * first) % 9)];
  });
  return out;
}

/** Several soups as one. */
export function joined(...soups: readonly Float64Array[]): Float64Array {
  const out = new Float64Array(soups.reduce((length, soup) => length + soup.length, 0));
  let at = 0;
  for (const soup of soups) {
    out.set(soup, at);
    at += soup.length;
  }
  return out;
}

/**
 * Numbers in [0, 1), the same for the same seed: xorshift of 32 bits, Marsaglia 2003,
 * doi:10.18637/jss.v008.i14.
 */
export function randomNumbers(seed: number): () => number {
  let state = seed | 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

/** The soup in every guise that must not change an answer: pose, place, unit, order, float32 rounding. */
export function variants(corners: Float64Array): Variant[] {
  return [
    { name: 'as made', corners, scale: 1 },
    { name: 'turned by 37.31 degrees about z', corners: turned(corners, 37.31), scale: 1 },
    { name: 'moved by (1e4, -7e3, 25)', corners: moved(corners, [1e4, -7e3, 25]), scale: 1 },
    { name: 'scaled by 1 / 25.4', corners: scaled(corners, 1 / 25.4), scale: 1 / 25.4 },
    { name: 'facets permuted, seed 20261', corners: permuted(corners, 20261), scale: 1 },
    { name: 'rounded to float32', corners: rounded(corners), scale: 1 },
  ];
}

function mapPoints(
  corners: Float64Array,
  map: (x: number, y: number, z: number) => readonly [number, number, number],
): Float64Array {
  const out = new Float64Array(corners.length);
  for (let i = 0; i < corners.length; i += 3) out.set(map(corners[i], corners[i + 1], corners[i + 2]), i);
  return out;
}

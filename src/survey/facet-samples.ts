import { compensatedSum } from '../core/sum.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { Mesh, Surface } from '../part/types.js';
import { byPlace } from '../reach/place-order.js';

/** Facets of a surface, near ones mostly after each other. */
export function facetsByPlace(mesh: Mesh, isWanted: (f: number) => boolean): Int32Array {
  const faces = mesh.triangles.length / 3;
  const middles = new Float64Array(3 * faces);
  for (let i = 0; i < middles.length; i++) {
    const f = (i / 3) | 0;
    for (let h = 3 * f; h < 3 * f + 3; h++) middles[i] += mesh.positions[3 * mesh.triangles[h] + (i % 3)] / 3;
  }
  return byPlace(
    middles,
    Int32Array.from({ length: faces }, (_, f) => (isWanted(f) ? 0 : -1)),
  );
}

/**
 * So many of some items, each as often as it is large.
 *
 * @returns their indices, in order
 */
export function* evenlyBySize(sizes: ArrayLike<number>, count: number): Generator<number> {
  const total = compensatedSum(sizes);
  let k = 0,
    sum = sizes[0];
  for (let i = 0; i < count; i++) {
    while (sum < ((i + 0.5) / count) * total && k < sizes.length - 1) sum += sizes[++k];
    yield k;
  }
}

/** A surface's facets and what they stand for. */
export interface TrueGround {
  readonly surface: Surface;
  readonly part: SmoothPart;
}

const place = new Float64Array(6);

/** What each corner of a facet has of a point in it: 1 in all. */
export type Shares = readonly [number, number, number];

/**
 * Point of a facet, moved onto the true surface.
 *
 * @param sagittas of the chords of the facet that it was cut from, where they are known
 * @returns (6) position, mm, and unit normal; the same array each time
 */
export function pointAt(
  { surface: { mesh, parent }, part }: TrueGround,
  f: number,
  shares: Shares,
  sagittas?: readonly number[],
): Float64Array {
  const { positions, triangles } = mesh;
  let x = 0,
    y = 0,
    z = 0;
  for (let corner = 0; corner < 3; corner++) {
    const v = 3 * triangles[3 * f + corner];
    x += shares[corner] * positions[v];
    y += shares[corner] * positions[v + 1];
    z += shares[corner] * positions[v + 2];
  }
  onTrueSurface(part, parent[f], x, y, z, place, sagittas?.[0], sagittas?.[1], sagittas?.[2]);
  return place;
}

/** Point i of a facet: of Roberts' R2 sequence, which is even in the square, folded. */
export function evenShares(i: number): Shares {
  let u = (0.5 + R2_FIRST * i) % 1,
    v = (0.5 + R2_SECOND * i) % 1;
  if (u + v > 1) [u, v] = [1 - u, 1 - v];
  return [1 - u - v, u, v];
}

/** The curve through a facet is followed down to this many halvings of it. */
const CURVE_LEVELS = 18;

/**
 * Point of a facet on a curve that fills it evenly, so that a stretch of it lies together and has the same share of the
 * facet: halves of halves, each from its first corner to its second (W. Sierpiński 1912, from memory).
 *
 * @param along 0 .. 1
 */
export function sharesAlong(along: number): Shares {
  // What the second and third corner of the facet have of the ends and the tip of the half that it is in.
  let [aV, aW, bV, bW, tipV, tipW, rest] = [0, 0, 1, 0, 0, 1, along];
  for (let level = 0; level < CURVE_LEVELS; level++) {
    const v = 0.5 * (aV + bV),
      w = 0.5 * (aW + bW);
    rest *= 2;
    if (rest < 1) {
      bV = tipV;
      bW = tipW;
    } else {
      rest -= 1;
      aV = tipV;
      aW = tipW;
    }
    tipV = v;
    tipW = w;
  }
  return [1 - tipV - tipW, tipV, tipW];
}

/** Source: M. Roberts, The unreasonable effectiveness of quasirandom sequences, 2018 (from memory). */
const R2_FIRST = 0.7548776662466927,
  R2_SECOND = 0.5698402909980532;

import { growingNumbers, type GrowingNumbers } from '../core/growing-numbers.js';
import { nextCorner } from './half-edge.js';
import { bendOf, type SmoothPart } from './sagittas.js';
import type { Topology } from './types.js';

/** Facets that lie on the true surface, as near as asked. */
export interface TrueFacets {
  /** (9 T) corners, mm */
  readonly corners: Float64Array;
  /** (T) facet of the part that each stands for */
  readonly facetOf: Int32Array;
}

type Triple = readonly [number, number, number];

/** A point of the true surface, mm, and its unit normal on the side of one facet. */
interface Place {
  readonly at: Triple;
  readonly normal: Triple;
}

/** Normals at the two ends of an edge on its other side; null where that is no other than this one. */
type OtherSide = readonly [Triple, Triple] | null;

/** Halvings of one edge at most: each takes the chord's error to a quarter. */
export const MOST_HALVINGS = 6;
/** Squared sine of the angle between two faces from which on both say where their common edge runs. */
const APART = 0.03;

/**
 * Cuts facets of curved surfaces until none misses the true surface by more than `accuracyMm`: edges are halved,
 * and their middles moved onto the surface that the normals at their ends tell of, and so on.
 *
 * An edge between two surfaces, the rim of a bore, lies on both: its middle moves so far along both normals as each
 * says. Either facet works that out for itself from the same numbers, so that no gap opens.
 *
 * @param part normals at the corners, by `normalsToCreases`
 */
export function trueFacets(
  { mesh, normals }: SmoothPart,
  { twin }: Topology,
  accuracyMm: number,
): TrueFacets {
  const { positions, triangles } = mesh;
  const corners = growingNumbers(),
    facetOf = growingNumbers();
  const place = (h: number): Place => ({ at: triple(positions, triangles[h]), normal: triple(normals, h) });
  const beyond = (h: number): OtherSide =>
    twin[h] < 0 ? null : [triple(normals, nextCorner(twin[h])), triple(normals, twin[h])];
  for (let f = 0; f < triangles.length / 3; f++) {
    const [a, b, c] = [3 * f, 3 * f + 1, 3 * f + 2];
    const emit = (...points: readonly Place[]): void => {
      for (const { at } of points) pushTriple(corners, at);
      facetOf.push(f);
    };
    cut([place(a), place(b), place(c)], [beyond(a), beyond(b), beyond(c)], MOST_HALVINGS);

    function cut(ends: readonly Place[], others: readonly OtherSide[], halvings: number): void {
      const middles = ends.map((end, k) =>
        halvings > 0 ? middleOf(end, ends[(k + 1) % 3], others[k], accuracyMm) : null,
      );
      // Turned so that an edge that stays whole, if only one does, is the last.
      const turn =
        middles[0] === null && middles[1] !== null ? 1 : middles[1] === null && middles[2] !== null ? 2 : 0;
      const at = (k: number): number => (k + turn) % 3;
      const [p, q, r] = [ends[at(0)], ends[at(1)], ends[at(2)]];
      const [u, v, w] = [middles[at(0)], middles[at(1)], middles[at(2)]];
      const first = (m: Middle, k: number): OtherSide => half(m, others[at(k)], 0),
        second = (m: Middle, k: number): OtherSide => half(m, others[at(k)], 1);
      const next = (places: readonly Place[], sides: readonly OtherSide[]): void =>
        cut(places, sides, halvings - 1);
      if (u === null) {
        emit(p, q, r);
      } else if (v === null) {
        next([p, u, r], [first(u, 0), null, others[at(2)]]);
        next([u, q, r], [second(u, 0), others[at(1)], null]);
      } else if (w === null) {
        next([u, q, v], [second(u, 0), first(v, 1), null]);
        if (apart(p, v) < apart(u, r)) {
          next([p, u, v], [first(u, 0), null, null]);
          next([p, v, r], [null, second(v, 1), others[at(2)]]);
        } else {
          next([p, u, r], [first(u, 0), null, others[at(2)]]);
          next([u, v, r], [null, second(v, 1), null]);
        }
      } else {
        next([p, u, w], [first(u, 0), null, second(w, 2)]);
        next([u, q, v], [second(u, 0), first(v, 1), null]);
        next([w, v, r], [null, second(v, 1), first(w, 2)]);
        next([u, v, w], [null, null, null]);
      }
    }
  }
  return { corners: corners.toArray(), facetOf: Int32Array.from(facetOf.toArray()) };
}

/**
 * Normals at the corners are not exact: on a sphere of 16 segments they make what a hollow's chord stands out 4 % too
 * little, and a ball of the hollow's own radius would not fit.
 */
const MARGIN = 1.05;
const allowed = (sagitta: number): number => (sagitta > 0 ? MARGIN * sagitta : sagitta);

/** The middle of an edge, with the normal on its other side. */
interface Middle extends Place {
  readonly beyond: Triple | null;
}

const half = ({ beyond }: Middle, other: OtherSide, which: 0 | 1): OtherSide => {
  if (other === null || beyond === null) return null;
  return which === 0 ? [other[0], beyond] : [beyond, other[1]];
};

const bendBetween = (d: Triple, m: Triple, n: Triple): number =>
  bendOf(d[0], d[1], d[2], m[0], m[1], m[2], n[0], n[1], n[2]);

/** Where an edge's middle truly lies; null where that is no further than `accuracy` from its chord. */
function middleOf(a: Place, b: Place, other: OtherSide, accuracy: number): Middle | null {
  const d: Triple = [b.at[0] - a.at[0], b.at[1] - a.at[1], b.at[2] - a.at[2]];
  const inward = allowed(bendBetween(d, a.normal, b.normal)),
    beyond = other === null ? 0 : allowed(bendBetween(d, other[0], other[1]));
  if (Math.abs(inward) <= accuracy && Math.abs(beyond) <= accuracy) return null;
  const normal = unit(a.normal, b.normal),
    otherNormal = other === null ? null : unit(other[0], other[1]);
  let along = -inward,
    alongOther = 0;
  if (otherNormal !== null) {
    const cosine = normal[0] * otherNormal[0] + normal[1] * otherNormal[1] + normal[2] * otherNormal[2];
    const square = 1 - cosine * cosine;
    along = square > APART ? (beyond * cosine - inward) / square : -0.5 * inward;
    alongOther = square > APART ? (inward * cosine - beyond) / square : -0.5 * beyond;
  }
  const at = (k: number): number =>
    0.5 * (a.at[k] + b.at[k]) + along * normal[k] + (otherNormal === null ? 0 : alongOther * otherNormal[k]);
  return { at: [at(0), at(1), at(2)], normal, beyond: otherNormal };
}

function pushTriple(list: GrowingNumbers, values: Triple): void {
  list.push(values[0]);
  list.push(values[1]);
  list.push(values[2]);
}

const triple = (values: ArrayLike<number>, i: number): Triple => [
  values[3 * i],
  values[3 * i + 1],
  values[3 * i + 2],
];

const apart = (a: Place, b: Place): number =>
  (a.at[0] - b.at[0]) ** 2 + (a.at[1] - b.at[1]) ** 2 + (a.at[2] - b.at[2]) ** 2;

function unit(a: Triple, b: Triple): Triple {
  const x = a[0] + b[0],
    y = a[1] + b[1],
    z = a[2] + b[2];
  const length = Math.sqrt(x * x + y * y + z * z);
  return length > 0 ? [x / length, y / length, z / length] : a;
}

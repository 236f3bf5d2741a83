import { growingNumbers } from '../core/growing-numbers.js';
import { nextCorner } from './half-edge.js';
import { riseOver, sagittaOf, type SmoothPart } from './sagittas.js';

/** Facets that lie on the true surface, as near as asked. */
export interface TrueFacets {
  /** (9 T) corners, mm */
  readonly corners: Float64Array;
  /** (T) facet of the part that each stands for */
  readonly facetOf: Int32Array;
}

export type Triple = readonly [number, number, number];

/** A point of a facet, as shares of its corners, and the place of the true surface over it, mm. */
interface Place {
  readonly shares: Triple;
  readonly at: Triple;
}

/** Halvings of one edge at most: each takes the chord's error to a quarter. */
export const MOST_HALVINGS = 6;
/** Squared sine of the angle between two faces from which on both say where their common edge runs. */
const APART = 0.03;
/**
 * Normals at the corners are not exact: on a sphere of 16 segments they make what a hollow's chord stands out 4 % too
 * little, and a ball of the hollow's own radius would not fit.
 */
const MARGIN = 1.05;

/**
 * Cuts facets of curved surfaces until none misses the true surface by more than `accuracyMm`: edges are halved, and
 * their middles lie where `onTrueSurface` has them, whatever was halved before. So points asked on it lie on these
 * facets.
 *
 * An edge between two surfaces, the rim of a bore, lies on both: its middle moves so far along both normals as each
 * says. Either facet works that out for itself from the same numbers, so that no gap opens.
 *
 * @param part normals at the corners, by `normalsToCreases`
 */
export function trueFacets(part: SmoothPart, accuracyMm: number): TrueFacets {
  const corners = growingNumbers(),
    facetOf = growingNumbers();
  for (let f = 0; f < part.mesh.triangles.length / 3; f++) {
    const facet = facetOver(part, f);
    cut(facet.corners, MOST_HALVINGS);

    function emit(...places: readonly Place[]): void {
      for (const { at } of places) for (const value of at) corners.push(value);
      facetOf.push(f);
    }

    function cut(ends: readonly Place[], halvings: number): void {
      const middles = ends.map((end, k) => {
        const next = ends[(k + 1) % 3];
        return halvings > 0 && facet.missedBy(end, next) > accuracyMm ? facet.middle(end, next) : null;
      });
      // Turned so that an edge that stays whole, if only one does, is the last.
      const turn =
        middles[0] === null && middles[1] !== null ? 1 : middles[1] === null && middles[2] !== null ? 2 : 0;
      const at = (k: number): number => (k + turn) % 3;
      const [p, q, r] = [ends[at(0)], ends[at(1)], ends[at(2)]];
      const [u, v, w] = [middles[at(0)], middles[at(1)], middles[at(2)]];
      const next = (...places: readonly Place[]): void => cut(places, halvings - 1);
      if (u === null) {
        emit(p, q, r);
      } else if (v === null) {
        next(p, u, r);
        next(u, q, r);
      } else if (w === null) {
        next(u, q, v);
        if (apart(p, v) < apart(u, r)) {
          next(p, u, v);
          next(p, v, r);
        } else {
          next(p, u, r);
          next(u, v, r);
        }
      } else {
        next(p, u, w);
        next(u, q, v);
        next(w, v, r);
        next(u, v, w);
      }
    }
  }
  return { corners: corners.toArray(), facetOf: Int32Array.from(facetOf.toArray()) };
}

/** The true surface over one facet. */
interface FacetOver {
  readonly corners: readonly Place[];
  /** how far the chord between two places misses the surface in its middle, on either side, mm */
  missedBy(p: Place, q: Place): number;
  middle(p: Place, q: Place): Place;
}

function facetOver(part: SmoothPart, f: number): FacetOver {
  const {
    mesh: { positions, triangles },
    normals,
    twin,
  } = part;
  const sides = [3 * f, 3 * f + 1, 3 * f + 2];
  const points = sides.map((h) => triple(positions, triangles[h])),
    own = sides.map((h) => triple(normals, h));
  const [s, t, u] = sides.map((h) => allowed(sagittaOf(part, h)));
  const beyond = sides.map((h) => (twin[h] < 0 ? 0 : allowed(sagittaOf(part, twin[h]))));

  const over = (shares: Triple): Triple => {
    const flat = mixed(points, shares),
      normal = unit(mixed(own, shares)),
      inward = riseOver(s, t, u, ...shares);
    // Opposite a corner without a share; at corners, which lie on the surface, every rise is 0.
    const k = (shares.indexOf(0) + 1) % 3,
      g = twin[3 * f + k];
    if (!shares.includes(0) || g < 0) return moved(flat, -inward, normal);
    const [from, to] = [shares[k], shares[(k + 1) % 3]];
    const otherNormal = unit(mixed([triple(normals, nextCorner(g)), triple(normals, g)], [from, to]));
    const other = 4 * beyond[k] * from * to;
    const cosine = normal[0] * otherNormal[0] + normal[1] * otherNormal[1] + normal[2] * otherNormal[2];
    const [along, alongOther] = ontoBoth(inward, other, cosine) ?? [-0.5 * inward, -0.5 * other];
    return moved(moved(flat, along, normal), alongOther, otherNormal);
  };
  return {
    corners: points.map((at, k) => ({ shares: [+(k === 0), +(k === 1), +(k === 2)], at })),
    missedBy({ shares: p }, { shares: q }) {
      const [a, b, c] = [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
      const here = Math.abs(riseOver(s, t, u, a, b, c)) / 4;
      const k = p.findIndex((share, i) => share === 0 && q[i] === 0);
      return k < 0 ? here : Math.max(here, Math.abs(beyond[(k + 1) % 3]) * Math.max(a * a, b * b, c * c));
    },
    middle({ shares: p }, { shares: q }) {
      const shares: Triple = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1]), 0.5 * (p[2] + q[2])];
      return { shares, at: over(shares) };
    },
  };
}

/**
 * Moves along the unit normals of two surfaces, of which a point stands out by `inward` and `other`, that bring it onto
 * both, mm; null: they are as good as one.
 *
 * @param cosine of the angle between the normals
 */
export function ontoBoth(inward: number, other: number, cosine: number): readonly [number, number] | null {
  const square = 1 - cosine * cosine;
  return square > APART ? [(other * cosine - inward) / square, (inward * cosine - other) / square] : null;
}

const allowed = (sagitta: number): number => (sagitta > 0 ? MARGIN * sagitta : sagitta);

const mixed = (triples: readonly Triple[], shares: readonly number[]): Triple => {
  const sum = [0, 0, 0];
  triples.forEach((values, i) => {
    for (let k = 0; k < 3; k++) sum[k] += shares[i] * values[k];
  });
  return [sum[0], sum[1], sum[2]];
};

const moved = (point: Triple, by: number, [x, y, z]: Triple): Triple => [
  point[0] + by * x,
  point[1] + by * y,
  point[2] + by * z,
];

const triple = (values: ArrayLike<number>, i: number): Triple => [
  values[3 * i],
  values[3 * i + 1],
  values[3 * i + 2],
];

const apart = ({ at: a }: Place, { at: b }: Place): number =>
  (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2;

export function unit([x, y, z]: Triple): Triple {
  const length = Math.sqrt(x * x + y * y + z * z);
  return length > 0 ? [x / length, y / length, z / length] : [0, 0, 0];
}

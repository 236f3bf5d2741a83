import { withRoom } from '../core/growing-numbers.js';

/** Ways to tell a new vertex: weights of a and b; that of o is always -1, or all are 0. */
export const WAYS = [
  [1, 1],
  [2, 0],
  [0, 2],
] as const;

/**
 * Where the vertices of a mesh are expected, from the facets before them. A refined surface is made by
 * halving edges, so a new vertex mostly continues an edge of the facet beside it by its own length (`2 a -
 * o`, the edge's middle being a), or completes a parallelogram (`a + b - o`, Touma & Gotsman 1998).
 *
 * Both the packer and whoever unpacks walk the facets with this.
 *
 * @param triangles (3 F) vertices numbered as they are first met
 */
export function vertexPredictor(triangles: Uint32Array) {
  const edges = edgeTable(triangles);
  return {
    /**
     * Finds the vertices o, a, b that a vertex new in facet f may be told from; false if there are none, and
     * the vertex before it must do.
     *
     * @param oab (3) filled with them
     */
    known: (f: number, vertex: number, oab: Int32Array): boolean => {
      // In an order that does not depend on which corner a facet begins with.
      const p = triangles[3 * f],
        q = triangles[3 * f + 1],
        r = triangles[3 * f + 2];
      const most = Math.max(p, q, r),
        a = Math.min(p, q, r),
        b = p + q + r - most - a;
      if (most !== vertex || b === vertex || a === b) return false;
      const o = edges.get(a, b);
      if (o < 0) return false;
      oab[0] = o;
      oab[1] = a;
      oab[2] = b;
      return true;
    },
    /** Facet f is behind us. */
    pass: (f: number): void => {
      const a = triangles[3 * f],
        b = triangles[3 * f + 1],
        c = triangles[3 * f + 2];
      edges.set(a, b, c);
      edges.set(b, c, a);
      edges.set(c, a, b);
    },
  };
}

/**
 * A number per undirected edge, the last one set; -1: none. Edges are listed by their lower vertex: neighbours in number are neighbours in memory, and lists are short.
 *
 * @param triangles those whose edges may be set, their vertices numbered without gaps
 */
export function edgeTable(triangles: Uint32Array) {
  let vertices = 0;
  for (let h = 0; h < triangles.length; h++) if (triangles[h] >= vertices) vertices = triangles[h] + 1;
  const first = new Int32Array(vertices).fill(-1);
  // Three edges to a vertex on a closed surface; more where it is torn.
  let next = new Int32Array(3 * vertices + 16),
    high = new Int32Array(next.length),
    values = new Int32Array(next.length);
  let count = 0;
  const find = (small: number, large: number): number => {
    let e = first[small];
    while (e >= 0 && high[e] !== large) e = next[e];
    return e;
  };
  const add = (small: number, large: number): number => {
    if (count === next.length)
      [next, high, values] = [next, high, values].map((list) => withRoom(list, 2 * count, Int32Array));
    high[count] = large;
    next[count] = first[small];
    first[small] = count;
    return count++;
  };
  return {
    get: (a: number, b: number): number => {
      const e = a < b ? find(a, b) : find(b, a);
      return e < 0 ? -1 : values[e];
    },
    set: (a: number, b: number, value: number): void => {
      const small = Math.min(a, b),
        large = Math.max(a, b);
      const e = find(small, large);
      values[e < 0 ? add(small, large) : e] = value;
    },
  };
}

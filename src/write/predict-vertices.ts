/**
 * Where the vertices of a mesh are expected, from the facets before them. A refined surface is made by
 * halving edges, so a new vertex mostly continues an edge of the facet beside it by its own length (`2 a -
 * o`, the edge's middle being a), or completes a parallelogram (`a + b - o`, Touma & Gotsman 1998).
 *
 * Both the packer and whoever unpacks walk the facets with this.
 */
export interface Predictor {
  /**
   * The vertices o, a, b that a vertex new in facet f may be told from; null if there are none, and the
   * vertex before it must do.
   */
  known(f: number, vertex: number): readonly [number, number, number] | null;
  /** Facet f is behind us. */
  pass(f: number): void;
}

/** Ways to tell a new vertex: weights of a and b; that of o is always -1, or all are 0. */
export const WAYS = [[1, 1], [2, 0], [0, 2]] as const;

/** @param triangles (3 F) vertices numbered as they are first met */
export function vertexPredictor(triangles: Uint32Array): Predictor {
  const edges = edgeTable(triangles.length);
  return {
    known: (f, vertex) => {
      // In an order that does not depend on which corner a facet begins with.
      const [a, b, most] = [0, 1, 2].map((k) => triangles[3 * f + k]).sort((x, y) => x - y);
      if (most !== vertex || b === vertex || a === b) return null;
      const o = edges.get(a, b);
      return o < 0 ? null : [o, a, b];
    },
    pass: (f) => {
      const a = triangles[3 * f], b = triangles[3 * f + 1], c = triangles[3 * f + 2];
      edges.set(a, b, c);
      edges.set(b, c, a);
      edges.set(c, a, b);
    },
  };
}

/** A number per undirected edge, the last one set; -1: none. */
export interface EdgeTable {
  get(a: number, b: number): number;
  set(a: number, b: number, value: number): void;
}

/** @param edges how many there may be, at most */
export function edgeTable(edges: number): EdgeTable {
  let size = 16;
  while (size < 2 * edges) size *= 2;
  const low = new Int32Array(size).fill(-1), high = new Int32Array(size), values = new Int32Array(size);
  const slot = (a: number, b: number): number => {
    const small = Math.min(a, b), large = Math.max(a, b);
    const mixed = Math.imul(small, 0x9e3779b1) ^ Math.imul(large, 0x85ebca6b);
    let at = (mixed ^ (mixed >>> 15)) & (size - 1);
    while (low[at] >= 0 && (low[at] !== small || high[at] !== large)) at = (at + 1) & (size - 1);
    return at;
  };
  return {
    get: (a, b) => {
      const at = slot(a, b);
      return low[at] < 0 ? -1 : values[at];
    },
    set: (a, b, value) => {
      const at = slot(a, b);
      low[at] = Math.min(a, b);
      high[at] = Math.max(a, b);
      values[at] = value;
    },
  };
}

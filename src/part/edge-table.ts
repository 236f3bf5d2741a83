import { listsByKey } from '../core/lists.js';

/** The undirected edges of a mesh. */
export interface EdgeTable {
  /** (3 F) edge of each half-edge, numbered by first use */
  readonly edgeOfHalf: Int32Array;
  /** (E) facets on each edge, >= 1 */
  readonly facets: Int32Array;
  /** (E) first half-edge on each edge */
  readonly firstHalf: Int32Array;
}

/**
 * Numbers the edges of a mesh, whichever way its facets run: half-edges by their lower vertex, and in each of
 * those lists by the higher one. Neighbouring facets have neighbouring vertices, so this stays in the cache,
 * which a hash of all edges does not; and a vertex of very many facets costs no more.
 *
 * @param triangles (3 F) vertices; no facet uses one twice
 */
export function edgeTable(triangles: Uint32Array, vertexCount: number): EdgeTable {
  const halves = triangles.length;
  const lows = new Int32Array(halves),
    highs = new Int32Array(halves);
  for (let h = 0, k = 0; h < halves; h++, k = k === 2 ? 0 : k + 1) {
    const p = triangles[h],
      q = triangles[k === 2 ? h - 2 : h + 1];
    lows[h] = Math.min(p, q);
    highs[h] = Math.max(p, q);
  }
  const { start, items } = listsByKey(lows, vertexCount);
  // Half-edge that an edge from the vertex at hand to each other was seen at first, and who saw it.
  const seenAt = new Int32Array(vertexCount),
    seenBy = new Int32Array(vertexCount).fill(-1),
    first = new Int32Array(halves);
  for (let v = 0; v < vertexCount; v++) {
    for (let i = start[v]; i < start[v + 1]; i++) {
      const h = items[i],
        other = highs[h];
      if (seenBy[other] !== v) {
        seenBy[other] = v;
        seenAt[other] = h;
      }
      first[h] = seenAt[other];
    }
  }
  return numbered(first);
}

/** Numbers edges by first use. */
function numbered(first: Int32Array): EdgeTable {
  const edgeOfHalf = new Int32Array(first.length),
    facets = new Int32Array(first.length),
    firstHalf = new Int32Array(first.length);
  let edges = 0;
  for (let h = 0; h < first.length; h++) {
    if (first[h] === h) firstHalf[edges] = h;
    const e = first[h] === h ? edges++ : edgeOfHalf[first[h]];
    edgeOfHalf[h] = e;
    facets[e]++;
  }
  return { edgeOfHalf, facets: facets.slice(0, edges), firstHalf: firstHalf.slice(0, edges) };
}

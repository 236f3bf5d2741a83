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
 * Numbers the edges of a mesh, whichever way its facets run, by an open-addressing hash: linear in time and
 * independent of how many facets meet at a vertex.
 *
 * @param triangles (3 F) vertices; no facet uses one twice
 */
export function edgeTable(triangles: Uint32Array, vertexCount: number): EdgeTable {
  const halves = triangles.length;
  const edgeOfHalf = new Int32Array(halves);
  const slots = 2 ** Math.ceil(Math.log2(Math.max(1.6 * Math.max(vertexCount, halves / 2), 1.2 * halves / 1.5) + 8));
  return fillEdges(triangles, edgeOfHalf, slots);
}

function fillEdges(triangles: Uint32Array, edgeOfHalf: Int32Array, firstSlots: number): EdgeTable {
  const halves = triangles.length;
  let slots = firstSlots;
  let table = new Int32Array(slots).fill(-1);
  const firstHalf = new Int32Array(halves);
  const facets = new Int32Array(halves);
  let edges = 0;
  for (let h = 0; h < halves; h++) {
    const p = triangles[h], q = triangles[h % 3 === 2 ? h - 2 : h + 1];
    const low = p < q ? p : q, high = p < q ? q : p;
    let slot = hashPair(low, high) & (slots - 1);
    let e = table[slot];
    while (e >= 0) {
      const g = firstHalf[e];
      const s = triangles[g], t = triangles[g % 3 === 2 ? g - 2 : g + 1];
      if ((s === low && t === high) || (s === high && t === low)) break;
      slot = (slot + 1) & (slots - 1);
      e = table[slot];
    }
    if (e < 0) {
      e = edges++;
      table[slot] = e;
      firstHalf[e] = h;
      if (edges > 0.7 * slots) table = rehash(triangles, firstHalf, edges, slots *= 2);
    }
    facets[e]++;
    edgeOfHalf[h] = e;
  }
  return { edgeOfHalf, facets: facets.slice(0, edges), firstHalf: firstHalf.slice(0, edges) };
}

function rehash(triangles: Uint32Array, firstHalf: Int32Array, edges: number, slots: number): Int32Array<ArrayBuffer> {
  const table = new Int32Array(slots).fill(-1);
  for (let e = 0; e < edges; e++) {
    const h = firstHalf[e], p = triangles[h], q = triangles[h % 3 === 2 ? h - 2 : h + 1];
    let slot = hashPair(p < q ? p : q, p < q ? q : p) & (slots - 1);
    while (table[slot] >= 0) slot = (slot + 1) & (slots - 1);
    table[slot] = e;
  }
  return table;
}

function hashPair(low: number, high: number): number {
  const hash = Math.imul(low ^ Math.imul(high, 0x9e3779b1), 0x85ebca6b);
  return hash ^ (hash >>> 15);
}

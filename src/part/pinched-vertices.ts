import { nextCorner, prevCorner } from './half-edge.js';
import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

/**
 * Vertices at which a surface touches itself in a point: their facets form several fans. Those on an edge of
 * more than two facets, or where windings cannot agree, are not counted: the edge tells of them.
 *
 * @param report topology of `mesh`
 * @returns ascending
 */
export function pinchedVertices({ positions, triangles }: Mesh, report: TopologyReport): number[] {
  const { isOpen, topology } = report;
  const fans = new Uint8Array(positions.length / 3);
  const seen = new Uint8Array(triangles.length);
  const SEVERAL = 2,
    EXPLAINED = 3;
  for (let h = 0; h < triangles.length; h++) {
    if (seen[h] === 1) continue;
    const v = triangles[h];
    // Half-edges that start at v, one way round and then the other.
    let g = h;
    while (g >= 0 && seen[g] === 0) {
      seen[g] = 1;
      g = topology.twin[prevCorner(g)];
    }
    if (g < 0) {
      for (let t = topology.twin[h]; t >= 0; t = topology.twin[g]) {
        g = nextCorner(t);
        if (seen[g] === 1) break;
        seen[g] = 1;
      }
    }
    if (fans[v] < SEVERAL) fans[v]++;
  }
  if (report.nonManifold.count > 0 || report.flipped.count > 0) {
    for (let h = 0; h < triangles.length; h++) {
      if (isOpen[h] === 1 || topology.twin[h] >= 0) continue;
      fans[triangles[h]] = EXPLAINED;
      fans[triangles[nextCorner(h)]] = EXPLAINED;
    }
  }
  const found: number[] = [];
  for (let v = 0; v < fans.length; v++) if (fans[v] === SEVERAL) found.push(v);
  return found;
}

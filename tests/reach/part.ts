import type { Mesh, Topology } from '../../src/part/types.js';
import { buildTopology } from '../../src/part/topology.js';
import { weld } from '../../src/part/weld.js';

/** Welds a soup and pairs its edges. */
export function partOf(corners: Float64Array): { readonly mesh: Mesh; readonly topology: Topology } {
  const { mesh } = weld(corners);
  return { mesh, topology: buildTopology(mesh).topology };
}

/**
 * Height of the highest facet over a point by barycentric coordinates, every facet tried; -Infinity beside
 * the part.
 */
export function heightOver({ positions, triangles }: Mesh, x: number, y: number): number {
  let best = -Infinity;
  for (let h = 0; h < triangles.length; h += 3) {
    const [a, b, c] = [triangles[h], triangles[h + 1], triangles[h + 2]].map((v) => 3 * v);
    const area =
      (positions[b] - positions[a]) * (positions[c + 1] - positions[a + 1]) -
      (positions[c] - positions[a]) * (positions[b + 1] - positions[a + 1]);
    if (area === 0) continue;
    const v =
      ((x - positions[a]) * (positions[c + 1] - positions[a + 1]) -
        (positions[c] - positions[a]) * (y - positions[a + 1])) /
      area;
    const w =
      ((positions[b] - positions[a]) * (y - positions[a + 1]) -
        (x - positions[a]) * (positions[b + 1] - positions[a + 1])) /
      area;
    if (v < 0 || w < 0 || v + w > 1) continue;
    const z =
      positions[a + 2] +
      v * (positions[b + 2] - positions[a + 2]) +
      w * (positions[c + 2] - positions[a + 2]);
    if (z > best) best = z;
  }
  return best;
}

import type { Mesh } from './types.js';

/**
 * How far each facet stands off a concave true surface into free space: the sagitta of its chords.
 *
 * A fillet of the cutter's own radius is reached, yet a ball in its true position cuts into every chord by this
 * much. Convex and flat facets get 0: they never stand out.
 *
 * @param normals (9 F) unit normals of the true surface at the corners
 * @returns (F) mm, >= 0; the largest over the three edges. Over a chord `d` along which the normal turns by `a`,
 *   changing by `m`, the sagitta is `m . d tan(a / 4) / (4 sin(a / 2))`: only what the chord spans across the bend
 *   counts, for the diagonal of a tall cylinder's facet runs mostly along it.
 */
export function facetSagittas(mesh: Mesh, normals: Float64Array): Float32Array {
  const { positions, triangles } = mesh;
  const sagittas = new Float32Array(triangles.length / 3);
  for (let f = 0; f < sagittas.length; f++) {
    let most = 0;
    for (let k = 0; k < 3; k++) {
      const k1 = (k + 1) % 3;
      const a = 3 * triangles[3 * f + k], b = 3 * triangles[3 * f + k1];
      const i = 9 * f + 3 * k, j = 9 * f + 3 * k1;
      const dx = positions[b] - positions[a], dy = positions[b + 1] - positions[a + 1];
      const dz = positions[b + 2] - positions[a + 2];
      const mx = normals[j] - normals[i], my = normals[j + 1] - normals[i + 1], mz = normals[j + 2] - normals[i + 2];
      const bend = mx * dx + my * dy + mz * dz;
      if (bend >= 0) continue;
      const turn = 2 * Math.asin(Math.min(1, 0.5 * Math.sqrt(mx * mx + my * my + mz * mz)));
      most = Math.max(most, (-bend * Math.tan(turn / 4)) / (4 * Math.sin(turn / 2)));
    }
    sagittas[f] = most;
  }
  return sagittas;
}

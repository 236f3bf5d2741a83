import type { Mesh } from '../mesh/types.js';
import { contactTip, type CutterProfile } from './cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { tipBetween } from './wall-rims.js';

/**
 * Lowers cleared heights by the axes from which the cutter touches each node's facet square on, which lie
 * between nodes. Where nothing else stops it there, the node is cleared to the facet: on a steep wall the
 * axes over nodes stand too far apart to do that.
 *
 * @param owners (columns x rows) the facet over each node, -1: none
 */
export function lowerByContactAxes(
  { positions, triangles }: Mesh, owners: Int32Array, window: GridWindow, profile: CutterProfile,
  heights: Float64Array, tips: Float64Array, cleared: Float64Array,
): void {
  const { columns, rows, pitchMm, originXMm, originYMm } = window;
  const offset = new Float64Array(3);
  let facet = -1;
  for (let j = 0, k = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++, k++) {
      const f = owners[k];
      if (f < 0 || !(cleared[k] > heights[k])) continue;
      if (f !== facet) {
        facet = f;
        const a = 3 * triangles[3 * f], b = 3 * triangles[3 * f + 1], c = 3 * triangles[3 * f + 2];
        const ux = positions[b] - positions[a], uy = positions[b + 1] - positions[a + 1], uz = positions[b + 2] - positions[a + 2];
        const vx = positions[c] - positions[a], vy = positions[c + 1] - positions[a + 1], vz = positions[c + 2] - positions[a + 2];
        const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
        const size = Math.sqrt(nx * nx + ny * ny + nz * nz);
        contactTip(profile, nx / size, ny / size, nz / size, offset);
      }
      const tip = tipBetween(window, tips, originXMm + i * pitchMm + offset[0], originYMm + j * pitchMm + offset[1]);
      const height = Math.max(heights[k], tip - offset[2]);
      if (height < cleared[k]) cleared[k] = height;
    }
  }
}

import { contactTip, type CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { tipBetween } from './wall-axes.js';

/**
 * Lowers cleared heights by the axes from which the cutter touches each node's facet square on, which lie
 * between nodes. Where nothing else stops it there, the node is cleared to the facet: on a steep wall the
 * axes over nodes stand too far apart to do that.
 *
 * @param normals (3 F) unit, of facets
 * @param owners (columns x rows) the facet over each node, -1: none
 */
export function lowerByContactAxes(
  normals: Float64Array,
  owners: Int32Array,
  window: GridWindow,
  profile: CutterProfile,
  heights: Float64Array,
  tips: Float64Array,
  cleared: Float64Array,
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
        contactTip(profile, normals[3 * f], normals[3 * f + 1], normals[3 * f + 2], offset);
      }
      const tip = tipBetween(
        window,
        tips,
        originXMm + i * pitchMm + offset[0],
        originYMm + j * pitchMm + offset[1],
      );
      const height = Math.max(heights[k], tip - offset[2]);
      if (height < cleared[k]) cleared[k] = height;
    }
  }
}

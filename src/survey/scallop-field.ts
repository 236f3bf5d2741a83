import { mostOf } from '../core/bounds.js';
import { mapTo } from '../core/map-to.js';
import { CLASS_INDEX } from '../core/classes.js';
import type { Surface } from '../part/types.js';
import { classOfLabel } from '../zones/mark-away.js';
import type { FinishingPasses } from './finishing-passes.js';

/**
 * Ridge height on each facet of a finer surface of the same part: the raster's up to the split, the
 * waterline's from there, the lower of both where they overlap.
 *
 * A facet takes the mean, by area, of the facets that were timed in the same facet of the part.
 *
 * @param timed the surface that `scallops` and `areas` number
 * @param labels (F of `fine`) classes
 * @returns (F of `fine`) mm; Infinity where passes do not meet; NaN where none cuts
 */
export function scallopField(
  timed: Pick<Surface, 'parent'>,
  areas: Float64Array,
  { waterline, raster }: FinishingPasses['scallops'],
  fine: Pick<Surface, 'parent'>,
  labels: Uint8Array,
): Float64Array {
  const byWaterline = meanByParent(timed.parent, areas, waterline),
    byRaster = meanByParent(timed.parent, areas, raster);
  return mapTo(new Float64Array(labels.length), labels, (label, f) => {
    if (label !== classOfLabel(label)) return NaN;
    const parent = fine.parent[f],
      down = byWaterline[parent] ?? NaN,
      across = byRaster[parent] ?? NaN;
    if (label === CLASS_INDEX.steep) return down;
    if (label === CLASS_INDEX.overlap) return Number.isNaN(down) || across < down ? across : down;
    return label === CLASS_INDEX.level || label === CLASS_INDEX.shallow ? across : NaN;
  });
}

/** (facets of the part) mean by area of what is cut; NaN where nothing is. */
function meanByParent(parent: Int32Array, areas: Float64Array, values: Float64Array): Float64Array {
  const count = 1 + Math.max(-1, mostOf(parent));
  const sums = new Float64Array(count),
    weights = new Float64Array(count);
  for (let f = 0; f < values.length; f++) {
    if (Number.isNaN(values[f]) || !(areas[f] > 0)) continue;
    sums[parent[f]] += areas[f] * values[f];
    weights[parent[f]] += areas[f];
  }
  return sums.map((sum, p) => (weights[p] > 0 ? sum / weights[p] : NaN));
}

import { CLASS_INDEX } from '../core/classes.js';
import { mapTo } from '../core/map-to.js';
import { classOfLabel } from '../zones/mark-away.js';
import type { FinishingPasses } from './finishing-passes.js';

/**
 * Ridge height on each facet: the raster's up to the split, the waterline's from there, the lower of both where
 * they overlap.
 *
 * @param labels (F) classes
 * @param isMilled whether a flat or bull-nose cutter has been on a facet: along floor and wall it leaves no ridge
 * @returns (F) mm; Infinity where passes do not meet; NaN where none cuts
 */
export function scallopField(
  labels: Uint8Array,
  { waterline, raster }: FinishingPasses['scallops'],
  isMilled: (f: number) => boolean,
): Float64Array {
  return mapTo(new Float64Array(labels.length), labels, (label, f) => {
    if (label !== classOfLabel(label)) return NaN;
    if (isMilled(f)) return 0;
    if (label === CLASS_INDEX.steep) return waterline[f];
    if (label === CLASS_INDEX.overlap) return Math.min(waterline[f], raster[f]);
    return label === CLASS_INDEX.level || label === CLASS_INDEX.shallow ? raster[f] : NaN;
  });
}

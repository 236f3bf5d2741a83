import { mapTo } from '../core/map-to.js';
import { classOfLabel } from '../zones/mark-away.js';
import type { FinishingPasses } from './finishing-passes.js';

/**
 * Ridge height on each facet: that of the pass that cuts it, the lowest where several do.
 *
 * @param labels (F) classes
 * @param isMilled whether a flat or bull-nose cutter has been on a facet: along floor and wall it leaves no ridge
 * @returns (F) mm; Infinity where passes do not meet; NaN where none cuts
 */
export function scallopField(
  labels: Uint8Array,
  { waterline, raster, constant }: FinishingPasses['scallops'],
  isMilled: (f: number) => boolean,
): Float64Array {
  return mapTo(new Float64Array(labels.length), labels, (label, f) => {
    if (label !== classOfLabel(label)) return NaN;
    if (isMilled(f)) return 0;
    return [raster[f], constant[f]].reduce(
      (least, own) => (own < least || Number.isNaN(least) ? own : least),
      waterline[f],
    );
  });
}

import { CLASS_INDEX } from '../core/classes.js';
import type { Finding } from '../core/findings.js';
import type { Clipper } from '../outlines/clipper.js';
import { closeNecks, NECK_DEFAULTS } from '../outlines/close-necks.js';
import { dropCrumbs, type CrumbLimits } from '../outlines/drop-crumbs.js';
import type { Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion, type TracedBorders } from '../outlines/trace-rings.js';
import type { NumberedRegions } from '../zones/number-regions.js';

/** What each pass cuts, in plan: its classes united, even-odd. */
export interface PassOutlines {
  readonly waterline: Rings;
  readonly raster: Rings;
  readonly findings: readonly Finding[];
}

/**
 * The two passes' regions in plan, their necks closed and opened as asked.
 *
 * @param necks width that goes: `stepovers` times the raster's stepover; 0: none does
 * @param limits of the first cutter
 */
export function passOutlines(
  regions: NumberedRegions,
  { outlines }: TracedBorders,
  clipper: Clipper,
  necks: { readonly stepovers: number; readonly stepoverMm: number },
  limits: CrumbLimits,
): PassOutlines {
  const pass = (name: string, classes: readonly number[]) => {
    const rings = Array.from(regions.classOf, (cls, r) =>
      classes.includes(cls) ? ringsOfRegion(outlines, r) : [],
    );
    const united = clipper.resolve(rings.flat(), 'NonZero');
    const closed = closeNecks(united, name, clipper, { ...necks, toleranceMm: NECK_DEFAULTS.toleranceMm });
    const { rings: worth, findings } = dropCrumbs(closed.rings, name, limits);
    return { rings: worth, findings: [...closed.findings, ...findings] };
  };
  const { level, shallow, overlap, steep } = CLASS_INDEX;
  const waterline = pass('the waterline pass', [overlap, steep]);
  const raster = pass('the raster pass', [level, shallow, overlap]);
  return {
    waterline: waterline.rings,
    raster: raster.rings,
    findings: [...waterline.findings, ...raster.findings],
  };
}

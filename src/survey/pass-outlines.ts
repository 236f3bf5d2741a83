import { CLASS_INDEX } from '../core/classes.js';
import type { Finding } from '../core/findings.js';
import type { Clipper } from '../outlines/clipper.js';
import { closeNecks, NECK_DEFAULTS } from '../outlines/close-necks.js';
import { dropCrumbs, type CrumbLimits } from '../outlines/drop-crumbs.js';
import type { Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion, type TracedBorders } from '../outlines/trace-rings.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { PassGrounds } from './pass-grounds.js';

/** What each pass cuts, in plan: its classes united, even-odd. */
export interface PassOutlines {
  readonly waterline: Rings;
  readonly raster: Rings;
  readonly constant: Rings;
  /** floors that flat and bull-nose cutters have been on; what they do of upright walls has no width in plan */
  readonly floors: Rings;
  readonly findings: readonly Finding[];
}

/**
 * The passes' regions in plan, their necks closed and opened as asked.
 *
 * @param floors regions that are no balls' work
 * @param necks width that goes: `stepovers` times the raster's stepover; 0: none does
 * @param limits of the finisher
 */
export function passOutlines(
  regions: NumberedRegions,
  { outlines }: TracedBorders,
  floors: readonly number[],
  { constantRegions, leftBy }: Pick<PassGrounds, 'constantRegions' | 'leftBy'>,
  clipper: Clipper,
  necks: { readonly stepovers: number; readonly stepoverMm: number },
  limits: CrumbLimits,
): PassOutlines {
  const pass = (name: string, isIn: (cls: number, r: number) => boolean) => {
    const rings = Array.from(regions.classOf, (cls, r) => (isIn(cls, r) ? ringsOfRegion(outlines, r) : []));
    const united = clipper.resolve(rings.flat(), 'NonZero');
    const closed = closeNecks(united, name, clipper, { ...necks, toleranceMm: NECK_DEFAULTS.toleranceMm });
    const { rings: worth, findings } = dropCrumbs(closed.rings, name, limits);
    return { rings: worth, findings: [...closed.findings, ...findings] };
  };
  const { level, shallow, overlap, steep } = CLASS_INDEX;
  const waterline = pass(
    'the waterline pass',
    (cls, r) => [overlap, steep].includes(cls) && !leftBy.waterline.has(r),
  );
  const raster = pass(
    'the raster pass',
    (cls, r) => [level, shallow, overlap].includes(cls) && !floors.includes(r) && !leftBy.raster.has(r),
  );
  const constant = pass('the pass at constant spacing', (_cls, r) => constantRegions.has(r));
  return {
    waterline: waterline.rings,
    raster: raster.rings,
    constant: constant.rings,
    floors: clipper.resolve(
      floors.flatMap((r) => ringsOfRegion(outlines, r)),
      'NonZero',
    ),
    findings: [...waterline.findings, ...raster.findings, ...constant.findings],
  };
}

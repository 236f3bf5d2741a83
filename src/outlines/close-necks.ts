import { finding, type Finding } from '../core/findings.js';
import { digits } from '../core/figures.js';
import type { Clipper } from './clipper.js';
import { offsetRings } from './offset.js';
import { ringArea, type Rings } from './ring-measures.js';

export interface NeckOptions {
  /** Necks and gaps narrower than this many stepovers go; 0: none do. */
  readonly stepovers: number;
  readonly stepoverMm: number;
  readonly toleranceMm: number;
}
export const NECK_DEFAULTS = { stepovers: 0, toleranceMm: 0.01 } as const;

/**
 * Fills gaps in a region that are narrower than the width (grown by half of it and shrunk again), then parts
 * it at necks narrower than the width and drops strips (shrunk and grown again). Corners that a disc of that
 * width cannot follow are rounded by it. Its neighbours' outlines are not changed: what the region gains lies
 * in both.
 *
 * @param name of the region, for findings: `steep region 3`
 */
export function closeNecks(rings: Rings, name: string, clipper: Clipper, options: NeckOptions) {
  const { stepovers, stepoverMm, toleranceMm } = options;
  const width = stepovers * stepoverMm;
  if (!(width >= 0))
    throw new RangeError(`closeNecks: width ${stepovers} x ${stepoverMm} mm, expected 0 or more`);
  if (width === 0 || rings.length === 0) return { rings, findings: [] };
  const by = (list: Rings, mm: number) => offsetRings(list, mm, clipper, toleranceMm);
  const filled = by(by(rings, width / 2), -width / 2);
  const parted = by(by(filled, -width / 2), width / 2);
  const findings = [
    tell(
      'outlines.neck-closed',
      `gaps narrower than ${width} mm in ${name} are filled`,
      wide(clipper.subtract(filled, rings), toleranceMm, clipper),
    ),
    tell(
      'outlines.neck-opened',
      `necks and strips narrower than ${width} mm are cut out of ${name}`,
      wide(clipper.subtract(filled, parted), toleranceMm, clipper),
    ),
  ];
  return {
    /** Even-odd; outer rings counter-clockwise, holes clockwise. */
    rings: parted,
    /** `outlines.neck-closed`, `outlines.neck-opened`, with the area moved */
    findings: findings.flat(),
  };
}

/** What is left of a difference without the hair that rounding and chords leave along every border. */
function wide(rings: Rings, toleranceMm: number, clipper: Clipper): Rings {
  return clipper.offset(
    clipper.offset(rings, -2 * toleranceMm, 'miter', toleranceMm),
    2 * toleranceMm,
    'miter',
    toleranceMm,
  );
}

function tell(code: string, what: string, moved: Rings): Finding[] {
  if (moved.length === 0) return [];
  const area = moved.reduce((sum, ring) => sum + ringArea(ring), 0);
  return [
    finding(
      code,
      'info',
      `${what}: ${digits(area, 4)} mm² in plan`,
      moved.filter((ring) => ringArea(ring) > 0).length,
    ),
  ];
}

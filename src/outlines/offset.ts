import type { Clipper } from './clipper.js';
import { keepPoints } from './keep-points.js';
import { ringArea, ringLength, type Rings } from './ring-measures.js';

export interface OffsetOptions {
  /**
   * Rings are simplified, and round corners chorded, within this, mm. Offsetting takes long on many points.
   */
  readonly toleranceMm: number;
  /** How far past its region a cutter runs out, mm. */
  readonly runOutMm: number;
}
export const OFFSET_DEFAULTS: OffsetOptions = { toleranceMm: 0.01, runOutMm: 0.5 };

/** Outlines of one region for one cutter, even-odd; empty where nothing is left. */
export type CutterOutlines = Readonly<ReturnType<typeof cutterOutlines>>;

/**
 * Contact, centre and run-out outlines of a region in plan.
 *
 * @param cutter DC: cutting diameter (ISO 13399), mm
 */
export function cutterOutlines(
  contact: Rings,
  cutter: { readonly DC: number },
  clipper: Clipper,
  options: OffsetOptions = OFFSET_DEFAULTS,
) {
  if (!(cutter.DC > 0)) throw new RangeError(`cutterOutlines: DC ${cutter.DC}, expected above 0`);
  const radius = cutter.DC / 2;
  return {
    /** Border of the surface that the cutter is to touch. */
    contact,
    /** For the cutter's axis: while it stays inside, the whole cutter stays inside the region. */
    centre: offsetRings(contact, -radius, clipper, options.toleranceMm),
    /** For the cutter's axis: on it, the whole cutter has left the region, by `runOutMm`. */
    runOut: offsetRings(contact, radius + options.runOutMm, clipper, options.toleranceMm),
  };
}

/**
 * The region grown by `byMm`, shrunk if negative, with round corners. Strips left over that are narrower than
 * the tolerance are dropped. Simplified first: 100 000 points would take some 20 s, their simplified 1500 a
 * quarter.
 */
export function offsetRings(
  rings: Rings,
  byMm: number,
  clipper: Clipper,
  toleranceMm: number,
): Float64Array[] {
  const simple = rings.map((ring) => simplifyRing(ring, toleranceMm / 4));
  // Growing rounds every vertex: what that adds is taken away again.
  return clipper
    .offset(simple, byMm, 'round', toleranceMm / 4)
    .filter((ring) => 2 * Math.abs(ringArea(ring)) > toleranceMm * ringLength(ring))
    .map((ring) => simplifyRing(ring, toleranceMm / 2));
}

/** A subset of a closed ring's points: those left out lie within `toleranceMm` of their side. (2 n) mm */
export function simplifyRing(ring: Float64Array, toleranceMm: number): Float64Array {
  const count = ring.length / 2;
  const points = new Float64Array(3 * count);
  for (let i = 0; i < count; i++) points.set(ring.subarray(2 * i, 2 * i + 2), 3 * i);
  const kept = new Uint8Array(count);
  keepPoints(points, 0, count, true, toleranceMm, kept);
  const left: number[] = [];
  for (let i = 0; i < count; i++) if (kept[i]) left.push(ring[2 * i], ring[2 * i + 1]);
  return Float64Array.from(left);
}

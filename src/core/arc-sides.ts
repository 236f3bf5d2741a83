/** Sides of equal angle whose sagitta stays within the tolerance, also for the flatter of two radii. */
export function sidesOfArc(radius: number, sweep: number, tolerance: number): number {
  const step = 2 * Math.acos(Math.max(0, 1 - tolerance / radius));
  return Math.max(2, Math.ceil(Math.abs(sweep) / step));
}

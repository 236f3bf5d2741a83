/** Sides of equal angle whose sagitta stays within the tolerance, also for the flatter of two radii. */
export function sidesOfArc(radius: number, sweep: number, tolerance: number): number {
  // Of the half angle: 1 - cos a = 2 sin² (a/2), which keeps its digits where the tolerance is far below the radius.
  const step = 4 * Math.asin(Math.sqrt(Math.min(0.5, tolerance / (2 * radius))));
  return Math.max(2, Math.ceil(Math.abs(sweep) / step));
}

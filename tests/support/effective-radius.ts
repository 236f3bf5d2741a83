import { checkCutter } from '../../src/time/scallop.js';

/**
 * Effective radius of a bull-nose cutter on a slope: the radius of the ball that leaves the same small
 * scallop. `Reff = RE + Rm cos²α / (sin θ (1 - sin²α sin²θ))`, `Rm = DC/2 - RE`: curvature of the cutter's
 * outline seen along the feed (Gauss curvature over the normal curvature in the direction of view).
 *
 * @param wallAngleRad θ, 0 to pi/2
 * @param feedFromFallRad α, angle in plan between the feed and the line of steepest fall
 * @returns mm; RE when contouring (α = 90°); `Infinity` on a level floor, where it is the flat that counts
 */
export function effectiveRadius(
  diameterMm: number,
  cornerRadiusMm: number,
  wallAngleRad: number,
  feedFromFallRad: number,
): number {
  checkCutter('effectiveRadius', diameterMm, cornerRadiusMm);
  const sinWall = Math.sin(wallAngleRad);
  const sinFeed = Math.sin(feedFromFallRad);
  const cosSquared = 1 - sinFeed * sinFeed;
  const flat = diameterMm / 2 - cornerRadiusMm;
  // Rounding leaves cos²(90°) at 4e-33, which a level floor would blow up.
  if (flat === 0 || cosSquared < 1e-15) return cornerRadiusMm;
  return cornerRadiusMm + (flat * cosSquared) / (sinWall * (1 - sinFeed * sinFeed * sinWall * sinWall));
}

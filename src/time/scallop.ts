/**
 * Scallop (cusp) height: the ridge that is left between two neighbouring passes, measured along the surface
 * normal.
 *
 * A section across the feed is a circle of curvature `k` (convex positive, concave negative, plane 0) touched
 * by a cutter circle of radius `R` at contact points `arc` apart. Written in `k` rather than in its radius,
 * one formula holds for all three kinds and nothing cancels as `k` goes to 0.
 *
 * Sources: circle-circle geometry; the chord form is the one usually printed (Suresh & Yang 1994, J. Eng.
 * Ind. 116:253-259; Lin & Koren 1996, J. Eng. Ind. 118:20-28).
 */

const sinc = (x: number): number => (Math.abs(x) < 1e-8 ? 1 : Math.sin(x) / x);

function checkPositive(name: string, value: number, what: string): void {
  if (!(value > 0 && Number.isFinite(value))) throw new RangeError(`${name}: ${what} ${value}, expected > 0`);
}

function checkNotNegative(name: string, value: number, what: string): void {
  if (!(value >= 0)) throw new RangeError(`${name}: ${what} ${value}, expected >= 0`);
}

/**
 * Scallop height on a section of constant curvature.
 *
 * @param radiusMm cutter radius in the section, > 0
 * @param arcMm spacing of the contact points along the surface, >= 0
 * @param curvaturePerMm curvature of the section, convex positive; 0 (default) for a plane
 * @returns mm, >= 0; `Infinity` where neighbouring passes do not meet (on a plane: `arcMm > 2 radiusMm`);
 *   `NaN` where a concave section is tighter than the cutter
 * @throws {RangeError} for a radius that is not positive or a negative spacing
 */
export function scallopHeight(radiusMm: number, arcMm: number, curvaturePerMm = 0): number {
  checkPositive('scallopHeight', radiusMm, 'radius');
  checkNotNegative('scallopHeight', arcMm, 'spacing');
  const stretch = 1 + radiusMm * curvaturePerMm;
  if (!(stretch >= 0)) return NaN;
  const phi = (arcMm * curvaturePerMm) / 2;
  const half = (stretch * arcMm * sinc(phi)) / 2;
  const under = radiusMm * radiusMm - half * half;
  if (under < 0) return Infinity;
  const sag = (half * half) / (radiusMm + Math.sqrt(under));
  const rise = (stretch * arcMm * sinc(phi / 2) * Math.sin(phi / 2)) / 2;
  return Math.max(0, sag - rise);
}

/**
 * Spacing that leaves a given scallop height on a plane: the inverse of `scallopHeight`.
 *
 * @param heightMm asked height, >= 0; from `radiusMm` up the cutter's full width counts
 * @returns mm along the surface
 * @throws {RangeError} for a radius that is not positive or a negative height
 */
export function scallopSpacing(radiusMm: number, heightMm: number): number {
  checkPositive('scallopSpacing', radiusMm, 'radius');
  checkNotNegative('scallopSpacing', heightMm, 'height');
  const height = Math.min(heightMm, radiusMm);
  return 2 * Math.sqrt(height * (2 * radiusMm - height));
}

/**
 * Ridge height of the stairs that a sharp-cornered cutter leaves when it contours a slope: `stepdown · cos
 * θ`.
 *
 * @param spacingMm spacing along the surface (stepdown / sin θ)
 * @param wallAngleRad 0 to pi/2
 */
export const stairScallop = (spacingMm: number, wallAngleRad: number): number =>
  spacingMm * Math.sin(wallAngleRad) * Math.cos(wallAngleRad);

/** Refuses a cutter that cannot exist. */
export function checkCutter(name: string, diameterMm: number, cornerRadiusMm: number): void {
  checkPositive(name, diameterMm, 'diameter');
  if (!(cornerRadiusMm >= 0 && cornerRadiusMm <= diameterMm / 2)) {
    throw new RangeError(`${name}: corner radius ${cornerRadiusMm}, expected 0 to ${diameterMm / 2}`);
  }
}

import { scallopHeight } from './scallop.js';

/**
 * Roughness that the scallops alone would give. Real surfaces are rougher: theoretical figures, and no
 * promise.
 */
export interface TheoreticalRoughness {
  /** Arithmetic mean deviation of the ideal cusp profile, mm. */
  readonly theoreticalRaMm: number;
  /** Height of the ideal cusp profile, mm: equal to the scallop height. */
  readonly theoreticalRzMm: number;
}

/** ∫₀ˣ √(R² - t²) dt */
const capArea = (r: number, x: number): number =>
  (x * Math.sqrt(Math.max(0, r * r - x * x)) + r * r * Math.asin(x / r)) / 2;

/**
 * Ra and Rz (words of ISO 21920-2) of the ideal profile that passes of a ball of `radiusMm`, `spacingMm`
 * apart, leave on a plane: arcs of a circle, end to end. Ra tends to 4/(9 √3) of the height as the spacing
 * goes to 0.
 *
 * @param radiusMm > 0
 * @param spacingMm 0 to 2 radiusMm, along the surface
 * @throws {RangeError} outside those ranges
 */
export function theoreticalRoughness(radiusMm: number, spacingMm: number): TheoreticalRoughness {
  const height = scallopHeight(radiusMm, spacingMm);
  if (!Number.isFinite(height)) {
    throw new RangeError(`theoreticalRoughness: spacing ${spacingMm}, expected 0 to ${2 * radiusMm}`);
  }
  // Below this the closed form loses digits by cancellation, and the parabola's limit is right to 1e-7.
  if (spacingMm < 1e-3 * radiusMm) {
    return { theoreticalRaMm: (4 / (9 * Math.sqrt(3))) * height, theoreticalRzMm: height };
  }
  const mean = (2 * capArea(radiusMm, spacingMm / 2)) / spacingMm;
  const crossing = Math.sqrt(Math.max(0, radiusMm * radiusMm - mean * mean));
  const ra = (4 / spacingMm) * (capArea(radiusMm, crossing) - mean * crossing);
  return { theoreticalRaMm: ra, theoreticalRzMm: height };
}

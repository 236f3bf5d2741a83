import { scallopHeight } from './scallop.js';

/** ∫₀ˣ √(R² - t²) dt */
const capArea = (r: number, x: number): number =>
  (x * Math.sqrt(Math.max(0, r * r - x * x)) + r * r * Math.asin(x / r)) / 2;

/**
 * Ra and Rz (words of ISO 21920-2), mm, of the ideal profile that passes of a ball of `radiusMm`, `spacingMm`
 * apart, leave on a plane: arcs of a circle, end to end. Rz is the scallop height; Ra tends to 4/(9 √3) of it
 * as the spacing goes to 0. Real surfaces are rougher: theoretical figures, and no promise.
 *
 * @param radiusMm > 0
 * @param spacingMm 0 to 2 radiusMm, along the surface
 * @throws {RangeError} outside those ranges
 */
export function theoreticalRoughness(radiusMm: number, spacingMm: number) {
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

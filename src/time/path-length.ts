import { checkLengths } from '../core/check-lengths.js';
import { runningSum } from '../core/sum.js';
import { checkSurface, type CutterShape, type FinishingSurface, type Strategy } from './finishing-surface.js';
import { feedBend, framer, LEVEL_SINE, newFrame, type PassFrame } from './pass-frame.js';
import { scallopHeight, stairScallop } from './scallop.js';

/**
 * Scallop height on each facet, from the real spacing there, the cutter's effective radius and the curvature
 * across the feed. A concave section tighter than the cutter counts as fitting it (0): reach is judged
 * elsewhere.
 *
 * @param spacing of all passes, or of those over a facet, mm
 * @returns (F) mm; `Infinity` where neighbouring passes do not meet
 * @throws {RangeError} for a spacing that is not positive, or arrays that do not agree
 */
export function facetScallops(
  surface: FinishingSurface,
  strategy: Strategy,
  spacing: number | ((f: number) => number),
  cutter: CutterShape,
): Float64Array {
  const { normals: n, curvature: k } = surface;
  const result = new Float64Array(checkSurface('facetScallops', surface));
  const frame = newFrame();
  const place = framer(strategy);
  for (let f = 0, o = 0, at = 0; f < result.length; f++, o += 3, at += 6) {
    const spacingMm = typeof spacing === 'number' ? spacing : spacing(f);
    checkSpacing('facetScallops', spacingMm);
    place(n[o], n[o + 1], n[o + 2], frame);
    const sine = Math.sqrt(n[o] * n[o] + n[o + 1] * n[o + 1]);
    // The two normal curvatures of any orthogonal pair add up to twice the mean (Euler's theorem).
    const across = k ? k[at] + k[at + 1] + k[at + 2] - feedBend(surface, f, strategy, frame) : 0;
    result[f] = scallopAt(cutter, strategy, frame, sine, spacingMm, across);
  }
  return result;
}

function scallopAt(
  cutter: CutterShape,
  strategy: Strategy,
  frame: PassFrame,
  sine: number,
  spacingMm: number,
  k: number,
): number {
  if (!(frame.gradient > 0)) return Infinity;
  const corner = cutter.RE,
    flat = cutter.DC / 2 - corner;
  let spacing = spacingMm / frame.gradient,
    radius = corner;
  if (flat > 0 && strategy.kind !== 'waterline') {
    if (sine <= LEVEL_SINE) {
      spacing = Math.max(0, spacing - 2 * flat);
    } else if (strategy.kind === 'raster') {
      // cos ψ, ψ between the feed and the line of steepest fall in the tangent plane: that line drops by sin
      // θ.
      const cosine = frame.tz / sine;
      radius += (flat * cosine * cosine) / sine;
    }
  }
  if (radius < 1e-9) {
    return sine <= LEVEL_SINE && spacing > 0 ? Infinity : stairScallop(spacing, Math.asin(Math.min(1, sine)));
  }
  return scallopHeight(radius, spacing, Math.max(k, -1 / radius));
}

/** Compensated total of `values` over the facets that `mask` holds; all of them without a mask. @throws {RangeError} for a mask of another length */
export function maskedTotal(values: Float64Array, mask?: Uint8Array): number {
  if (mask) checkLengths('maskedTotal', { 'places in the mask': [mask.length, values.length] });
  const sum = runningSum();
  for (let f = 0; f < values.length; f++) if (!mask || mask[f]) sum.add(values[f]);
  return sum.value();
}

/**
 * Totals of `values` per region.
 *
 * @param regionOf (F) region of each facet, -1 for none
 * @returns (regions)
 * @throws {RangeError} if the lengths do not agree
 */
export function totalsByRegion(values: Float64Array, regionOf: Int32Array, regions: number): Float64Array {
  checkLengths('totalsByRegion', { regions: [regionOf.length, values.length] });
  const sums = Array.from({ length: regions }, runningSum);
  for (let f = 0; f < values.length; f++) {
    if (regionOf[f] >= 0) sums[regionOf[f]].add(values[f]);
  }
  return Float64Array.from(sums, (sum) => sum.value());
}

/** @throws {RangeError} for a spacing that is not positive and finite */
export function checkSpacing(name: string, spacingMm: number): void {
  if (!(spacingMm > 0 && Number.isFinite(spacingMm))) {
    throw new RangeError(`${name}: spacing ${spacingMm}, expected > 0`);
  }
}

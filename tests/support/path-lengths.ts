import {
  checkSurface,
  type CutterShape,
  type FinishingSurface,
  type Strategy,
} from '../../src/time/finishing-surface.js';
import { centreFactor, feedBend, framer, newFrame } from '../../src/time/pass-frame.js';
import { checkSpacing } from '../../src/time/path-length.js';

/**
 * Length of the passes that lie on each facet, by the co-area formula: `A |∇f| / spacing`.
 *
 * Waterline `A sin θ / stepdown`, raster `A √(1 - (n·d)²) / stepover` for the step direction d (level, square
 * to the feed), following `A / spacing`. Exact on flat facets as a mean over where the first pass starts.
 *
 * @param spacingMm stepdown, stepover or spacing on the surface, > 0
 * @param cutter given, and the surface has a curvature: the path of the cutter's centre instead of the
 *   contact path
 * @returns (F) mm
 * @throws {RangeError} for a spacing that is not positive, or arrays that do not agree
 *
 * Source: co-area formula, Federer 1959, "Curvature measures"; Evans & Gariepy, chapter 3.
 */
export function facetPathLengths(
  surface: FinishingSurface,
  strategy: Strategy,
  spacingMm: number,
  cutter?: CutterShape,
): Float64Array {
  const count = checkSurface('facetPathLengths', surface);
  checkSpacing('facetPathLengths', spacingMm);
  const result = new Float64Array(count);
  const { normals, areas } = surface;
  const isFollowing = strategy.kind === 'following';
  const frame = newFrame();
  const place = framer(strategy);
  for (let f = 0, o = 0; f < count; f++, o += 3) {
    place(normals[o], normals[o + 1], normals[o + 2], frame);
    const along = feedBend(surface, f, strategy, frame);
    const factor = cutter ? centreFactor(surface, f, isFollowing, cutter, frame, along) : 1;
    result[f] = (areas[f] * frame.gradient * factor) / spacingMm;
  }
  return result;
}

/**
 * Gradient |∇f| of each facet under `strategy`: 0 to 1; the spacing on the surface is the spacing in space
 * over it.
 *
 * @returns (F)
 */
export function facetGradients(surface: FinishingSurface, strategy: Strategy): Float64Array {
  const count = checkSurface('facetGradients', surface);
  const result = new Float64Array(count);
  const { normals } = surface;
  const frame = newFrame();
  const place = framer(strategy);
  for (let f = 0, o = 0; f < count; f++, o += 3) {
    place(normals[o], normals[o + 1], normals[o + 2], frame);
    result[f] = frame.gradient;
  }
  return result;
}

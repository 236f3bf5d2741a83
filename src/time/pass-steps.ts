import { checkLengths } from '../core/check-lengths.js';
import type { CutterShape, FinishingSurface, Strategy } from './finishing-surface.js';
import { newFrame, framer } from './pass-frame.js';
import { scallopSpacing } from './scallop.js';

/** Steps of both passes: as given, or the largest that leave no scallop above a height on planes. */
export type Steps =
  | { readonly kind: 'fixed'; readonly stepdownMm: number; readonly stepoverMm: number }
  | {
      readonly kind: 'scallop';
      readonly heightMm: number;
      /** a single step that is given all the same */
      readonly stepdownMm?: number;
      readonly stepoverMm?: number;
    };

/** Smallest |∇f| that each pass meets on its side of the split, 0 to 1; `Infinity`: it cuts nothing. */
export interface SideGradients {
  readonly waterline: number;
  readonly raster: number;
}

/**
 * Smallest |∇f| of a pass on its side of a border: that of its facets, but no place there is flatter to the
 * pass than the border is, whatever a facet across it says on average.
 *
 * @param ofFacets smallest of the facets cut; `Infinity` where there is none
 * @param atBorder sin of the split (waterline), cos of split + overlap (raster)
 */
export const sideGradient = (ofFacets: number, atBorder: number): number => Math.max(ofFacets, atBorder);

/** `spacing · |∇f|` at the worst place; the full spacing where the pass has nothing to cut. */
const stepFor = (spacingMm: number, gradient: number): number =>
  spacingMm * (gradient === Infinity ? 1 : gradient);

/**
 * Stepdown of a cutter without corner radius: it leaves stairs, `stepdown · cos θ` high (`stairScallop`),
 * none on an upright wall; there DC holds.
 *
 * @param gradient sin θ at the flattest place
 */
function stairStepdown({ DC }: CutterShape, heightMm: number, gradient: number): number {
  const cosine = Math.sqrt(Math.max(0, 1 - Math.min(1, gradient) ** 2));
  return Math.min(DC, heightMm / Math.max(cosine, 1e-9));
}

/** Stepdown of a waterline whose smallest |∇f| is `gradient`, mm; 0 where it would stand still. */
export function stepdownAt(steps: Steps, cutter: CutterShape, gradient: number): number {
  if (steps.kind === 'fixed') return steps.stepdownMm;
  if (cutter.RE === 0) return steps.stepdownMm ?? stairStepdown(cutter, steps.heightMm, gradient);
  return steps.stepdownMm ?? stepFor(scallopSpacing(cutter.RE, steps.heightMm), gradient);
}

/**
 * Stepover of a raster likewise, mm; with a gradient of 1 the spacing of passes that follow the surface.
 * Without corner radius it is that of level ground, DC, on which alone such a cutter leaves no stairs.
 */
export function stepoverAt(steps: Steps, cutter: CutterShape, gradient: number): number {
  if (steps.kind === 'fixed') return steps.stepoverMm;
  if (cutter.RE === 0) return steps.stepoverMm ?? cutter.DC;
  return steps.stepoverMm ?? stepFor(scallopSpacing(cutter.RE, steps.heightMm), gradient);
}

/**
 * Smallest |∇f| over the facets of a mask.
 *
 * @returns 0 to 1; `Infinity` for no facets with area
 * @throws {RangeError} for a mask of another length
 */
export const leastGradient = (surface: FinishingSurface, mask: Uint8Array, strategy: Strategy): number =>
  leastGradients(
    surface,
    Int32Array.from(mask, (isIn) => (isIn ? 0 : -1)),
    1,
    strategy,
  )[0];

/**
 * Smallest |∇f| over the facets of each group.
 *
 * @param groupOf (F) -1: in none
 * @returns (count) 0 to 1; `Infinity` for no facets with area
 * @throws {RangeError} for groups of another length
 */
export function leastGradients(
  { normals, areas }: FinishingSurface,
  groupOf: Int32Array,
  count: number,
  strategy: Strategy,
): Float64Array {
  checkLengths('leastGradients', { facets: [groupOf.length, areas.length] });
  const frame = newFrame(),
    place = framer(strategy);
  const least = new Float64Array(count).fill(Infinity);
  for (let f = 0, o = 0; f < groupOf.length; f++, o += 3) {
    const group = groupOf[f];
    if (group < 0 || !(areas[f] > 0)) continue;
    place(normals[o], normals[o + 1], normals[o + 2], frame);
    if (frame.gradient < least[group]) least[group] = frame.gradient;
  }
  return least;
}

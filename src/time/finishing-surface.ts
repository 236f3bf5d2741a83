import { checkLengths } from '../core/check-lengths.js';
import { CLASS_INDEX, MACHINABLE_CLASSES } from '../core/classes.js';
import { mapTo } from '../core/map-to.js';
import { rowsOf } from '../core/rows-of.js';

/**
 * The surface to finish, one entry per (small) facet. All angles and lengths of `src/time` derive from this.
 */
export interface FinishingSurface {
  /** (3 F) unit outward normal, mean of the true surface over the facet */
  readonly normals: Float64Array;
  /** (F) mm² */
  readonly areas: Float64Array;
  /** (F) index into `CLASSES` */
  readonly classOf: Uint8Array;
  /** (6 F) curvature tensor as `facetCurvatures` gives it, 1/mm; absent: every facet counts as plane */
  readonly curvature?: Float64Array;
}

/**
 * How the passes are laid. Angles in plan from +X, counter-clockwise; a feed and its opposite are the same.
 */
export type Strategy =
  /** horizontal slices, `spacingMm` apart along Z (stepdown) */
  | { readonly kind: 'waterline' }
  /** parallel vertical planes holding the feed direction, `spacingMm` apart in plan (stepover) */
  | { readonly kind: 'raster'; readonly feedRad: number }
  /** passes that follow each other along the surface, `spacingMm` apart on it */
  | { readonly kind: 'following' };

/** Which cutter, in the symbols of ISO 13399: sets the way of its centre and the scallop. */
export interface CutterShape {
  /** cutting diameter, mm */
  readonly DC: number;
  /** corner radius, mm: DC/2 for a ball, 0 for a flat end */
  readonly RE: number;
}

/** @returns facets of a surface @throws {RangeError} if its arrays do not agree in length */
export function checkSurface(
  caller: string,
  { areas, normals, classOf, curvature }: FinishingSurface,
): number {
  const count = areas.length;
  checkLengths(caller, {
    normals: [normals.length, 3 * count],
    classes: [classOf.length, count],
    curvatures: [curvature?.length ?? 6 * count, 6 * count],
  });
  return count;
}

/** Some facets of a surface, in the given order. */
export function someFacets(
  { normals, areas, classOf, curvature }: FinishingSurface,
  facets: Uint32Array,
): FinishingSurface {
  return {
    normals: rowsOf(normals, facets),
    areas: rowsOf(areas, facets, 1),
    classOf: mapTo(new Uint8Array(facets.length), facets, (f) => classOf[f]),
    ...(curvature ? { curvature: rowsOf(curvature, facets, 6) } : {}),
  };
}

/**
 * Facets that a pass cuts: `waterline` overlap and steep, `raster` level, shallow and overlap, `following`
 * all four.
 *
 * @returns (F) 1 where the facet is cut, else 0
 */
export function passMask(classOf: Uint8Array, kind: Strategy['kind']): Uint8Array {
  const first = kind === 'waterline' ? CLASS_INDEX.overlap : CLASS_INDEX.level;
  const last = kind === 'raster' ? CLASS_INDEX.overlap : MACHINABLE_CLASSES - 1;
  return classOf.map((index) => (index >= first && index <= last ? 1 : 0));
}

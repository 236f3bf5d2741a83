import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { cutWhere, pointOn, type FacetTest } from './cut-where.js';

/**
 * Added to the label of a facet outside the plan outlines that work was limited to, or of a hole that is
 * drilled: nothing there is machined.
 */
export const AWAY = 16;

/** Class of a label, whether work is limited to elsewhere or not. */
export const classOfLabel = (label: number): number => label & (AWAY - 1);

/** Outlines may lie inside a facet; pieces this long, mm, find them. */
const PIECE_MM = 3;

/**
 * Marks as away the facets outside the region in plan that work is limited to, and cuts facets along its
 * border.
 *
 * @param build classes as labels
 * @param inside whether a point in plan lies in the region, mm
 */
export function markAway(build: SurfaceBuilder, inside: (x: number, y: number) => boolean): void {
  const test: FacetTest = (f, v, w) => {
    const [x, y] = pointOn(build, f, v, w);
    return inside(x, y);
  };
  cutWhere(build, () => true, test, PIECE_MM);
  for (let f = 0; f < build.faceCount(); f++) {
    if (!test(f, 1 / 3, 1 / 3)) build.arrays().labels[f] |= AWAY;
  }
}

/** Marks as away the facets of some facets of the part. @param leftOut (F of the part) 1: these */
export function markLeftOut(build: SurfaceBuilder, leftOut: Uint8Array): void {
  const { parent, labels } = build.arrays();
  for (let f = 0; f < build.faceCount(); f++) if (leftOut[parent[f]] === 1) labels[f] |= AWAY;
}

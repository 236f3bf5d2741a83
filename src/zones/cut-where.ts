import { longestEdge, nextToBisect } from '../surface/longest-edge.js';
import { doubleArea, edgeLength } from '../part/facet-geometry.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';

/**
 * Samples are taken this share of the way from a corner to the facet's middle: inside, where the answer is
 * single.
 */
const INWARD = 0.005;
/** A border nearer than this share of an edge to its end passes through the corner itself. */
const AT_CORNER = 0.02;

/** Edges this short, mm, are not cut: a curved border would be followed into ever smaller slivers. */
const LEAST_EDGE_MM = 0.05;
/** Facets narrower than this, mm, are told whole: along a border that they lie on, corners answer by rounding. */
const LEAST_WIDTH_MM = 1e-4;
/**
 * Cuts within one facet of the part; where shadows lie across each other without end, its pieces are told
 * whole.
 */
const MOST_CUTS = 2000;

/** Whether the point of facet f with barycentric coordinates 1 - v - w, v, w has some property. */
export type FacetTest = (f: number, v: number, w: number) => boolean;

/**
 * Cuts facets along the border of where `test` holds, until each piece has one answer at its corners.
 *
 * @param concerns facets to look at; the others, and what grows from them, are left as they are
 * @param pieceMm pieces no longer than this are looked at: a patch may lie inside a facet; Infinity: corners
 *   suffice
 */
export function cutWhere(
  build: SurfaceBuilder,
  concerns: (f: number) => boolean,
  test: FacetTest,
  pieceMm: number,
): void {
  const cuts = new Map<number, number>();
  // Facets grow under this loop: pieces are appended and looked at in their turn.
  for (let f = 0; f < build.faceCount(); f++) {
    if (!concerns(f)) continue;
    const parent = build.arrays().parent[f];
    let count = cuts.get(parent) ?? 0;
    while (splitLong(build, f, pieceMm) && concerns(f)) {
      /* until the piece is short enough */
    }
    while (count < MOST_CUTS && widthOf(build, f) > LEAST_WIDTH_MM && cutBorder(build, f, test)) count++;
    cuts.set(parent, count);
  }
}

/** The point of facet f with barycentric coordinates 1 - v - w, v, w, mm. */
export function pointOn(
  { arrays }: SurfaceBuilder,
  f: number,
  v: number,
  w: number,
): [number, number, number] {
  const { positions, triangles } = arrays();
  const at = (i: number): number =>
    (1 - v - w) * positions[3 * triangles[3 * f] + i] +
    v * positions[3 * triangles[3 * f + 1] + i] +
    w * positions[3 * triangles[3 * f + 2] + i];
  return [at(0), at(1), at(2)];
}

/** Barycentric v, w of the point near corner k, or between corners k and k + 1 at fraction s. */
function inward(k: number, s: number): [number, number] {
  const weights = [INWARD / 3, INWARD / 3, INWARD / 3];
  weights[k] += (1 - INWARD) * (1 - s);
  weights[(k + 1) % 3] += (1 - INWARD) * s;
  return [weights[1], weights[2]];
}

function cutBorder(build: SurfaceBuilder, f: number, test: FacetTest): boolean {
  const at = (k: number, s: number): boolean => test(f, ...inward(k, s));
  const ends = [at(0, 0), at(1, 0), at(2, 0)];
  for (let k = 0; k < 3; k++) {
    if (ends[k] === ends[(k + 1) % 3] || edgeLength(build.arrays(), 3 * f + k) < LEAST_EDGE_MM) continue;
    let low = 0,
      high = 1;
    for (let i = 0; i < 30; i++) {
      const s = 0.5 * (low + high);
      if (at(k, s) === ends[k]) low = s;
      else high = s;
    }
    const s = 0.5 * (low + high);
    if (s < AT_CORNER || s > 1 - AT_CORNER) continue;
    build.bisect(3 * f + k, s);
    return true;
  }
  return false;
}

/** Height of facet f over its longest edge, mm. */
const widthOf = (build: SurfaceBuilder, f: number): number =>
  doubleArea(build.arrays(), f, new Float64Array(3)) / longestEdge(build, f).lengthMm;

function splitLong(build: SurfaceBuilder, f: number, pieceMm: number): boolean {
  if (longestEdge(build, f).lengthMm <= pieceMm) return false;
  build.bisect(nextToBisect(build, f), 0.5);
  return true;
}

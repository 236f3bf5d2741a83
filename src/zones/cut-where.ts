import { longestEdge, nextToBisect } from '../mesh/longest-edge.js';
import type { SurfaceBuilder } from '../mesh/surface-builder.js';

/** Samples are taken this share of the way from a corner to the facet's middle: inside, where the answer is single. */
const INWARD = 0.02;

/** Whether the point of facet f with barycentric coordinates 1 - v - w, v, w has some property. */
export type FacetTest = (f: number, v: number, w: number) => boolean;

/**
 * Cuts facet f, and the facets that grow from it, along the border of where `test` holds, until each piece has one
 * answer at its corners.
 *
 * @param pieceMm pieces no longer than this are looked at: a patch may lie inside a facet; Infinity: corners suffice
 */
export function cutWhere(build: SurfaceBuilder, f: number, test: FacetTest, pieceMm: number): void {
  while (cutBorder(build, f, test) || splitLong(build, f, pieceMm)) { /* until nothing is left to cut */ }
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
    if (ends[k] === ends[(k + 1) % 3]) continue;
    let low = 0, high = 1;
    for (let i = 0; i < 30; i++) {
      const s = 0.5 * (low + high);
      if (at(k, s) === ends[k]) low = s; else high = s;
    }
    const s = 0.5 * (low + high);
    // Nearer to an end the border passes through the corner itself.
    if (s < INWARD || s > 1 - INWARD) continue;
    build.bisect(3 * f + k, s);
    return true;
  }
  return false;
}

function splitLong(build: SurfaceBuilder, f: number, pieceMm: number): boolean {
  if (longestEdge(build, f).lengthMm <= pieceMm) return false;
  build.bisect(nextToBisect(build, f), 0.5);
  return true;
}

import { sagittaOf, type SmoothPart } from './sagittas.js';
import { MOST_HALVINGS } from './true-facets.js';

/**
 * About how many facets `trueFacets` makes, told from the edges as they are: each halving takes what an edge misses to
 * a quarter, and a facet is cut along its most bent edges, and across as far as its least bent one goes.
 */
export function foretoldFacets(part: SmoothPart, accuracyMm: number): number {
  const { triangles } = part.mesh;
  const halvings = (h: number): number => {
    const bend = Math.abs(sagittaOf(part, h));
    return Math.min(MOST_HALVINGS, Math.max(0, Math.ceil(0.5 * Math.log2(bend / accuracyMm))));
  };
  let facets = 0;
  for (let h = 0; h < triangles.length; h += 3) {
    const [a, b, c] = [halvings(h), halvings(h + 1), halvings(h + 2)];
    facets += 2 ** (Math.max(a, b, c) + Math.min(a, b, c));
  }
  return facets;
}

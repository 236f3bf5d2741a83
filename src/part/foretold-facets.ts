import { nextCorner } from './half-edge.js';
import { bendOf, type SmoothPart } from './sagittas.js';
import { MOST_HALVINGS } from './true-facets.js';

/**
 * About how many facets `trueFacets` makes, told from the edges as they are: each halving takes what an edge misses to
 * a quarter, and a facet is cut along its most bent edges, and across as far as its least bent one goes.
 */
export function foretoldFacets({ mesh, normals }: SmoothPart, accuracyMm: number): number {
  const { positions, triangles } = mesh;
  const halvings = (h: number): number => {
    const a = 3 * triangles[h],
      next = nextCorner(h),
      b = 3 * triangles[next];
    const bend = bendOf(
      positions[b] - positions[a],
      positions[b + 1] - positions[a + 1],
      positions[b + 2] - positions[a + 2],
      normals[3 * h],
      normals[3 * h + 1],
      normals[3 * h + 2],
      normals[3 * next],
      normals[3 * next + 1],
      normals[3 * next + 2],
    );
    return Math.min(MOST_HALVINGS, Math.max(0, Math.ceil(0.5 * Math.log2(Math.abs(bend) / accuracyMm))));
  };
  let facets = 0;
  for (let h = 0; h < triangles.length; h += 3) {
    const [a, b, c] = [halvings(h), halvings(h + 1), halvings(h + 2)];
    facets += 2 ** (Math.max(a, b, c) + Math.min(a, b, c));
  }
  return facets;
}

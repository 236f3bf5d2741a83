import { nextCorner, prevCorner } from '../part/half-edge.js';
import type { SurfaceArrays } from '../surface/surface-builder.js';

/**
 * Visits vertices by edges from a first one, nearest first, as far as `depth` edges; where `visit` says no,
 * and at a vertex without a corner, it does not go on.
 */
export type RingWalk = (from: number, depth: number, visit: (v: number, edges: number) => boolean) => void;

/** @param corner (V) a corner of each vertex that facets close round; -1: of others */
export function ringWalk(
  { triangles, twin }: Pick<SurfaceArrays, 'triangles' | 'twin'>,
  corner: Int32Array,
): RingWalk {
  const seen = new Int32Array(corner.length),
    queue = new Int32Array(corner.length);
  let walks = 0;
  return (from, depth, visit) => {
    walks++;
    seen[from] = walks;
    queue[0] = from;
    let edges = 0,
      ring = 1,
      count = 1;
    for (let i = 0; i < count; i++) {
      if (i === ring) {
        edges++;
        ring = count;
      }
      const v = queue[i],
        first = corner[v];
      if (!visit(v, edges) || edges === depth || first < 0) continue;
      let h = first;
      do {
        const w = triangles[nextCorner(h)];
        if (seen[w] !== walks) {
          seen[w] = walks;
          queue[count++] = w;
        }
        h = twin[prevCorner(h)];
      } while (h !== first);
    }
  };
}

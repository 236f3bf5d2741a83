import { edgeTable } from './edge-table.js';
import type { Mesh, Topology } from './types.js';

/** Which facets adjoin, and how well the edges match. */
export interface TopologyReport {
  readonly topology: Topology;
  /** Edges of one facet. */
  readonly open: EdgeCount;
  /** Edges of three or more facets. */
  readonly nonManifold: EdgeCount;
  /** Edges of two facets that run the same way along it: one of them is inside out. */
  readonly flipped: EdgeCount;
  /**
   * (3 F) the half-edge of the other facet on an edge of exactly two facets, whichever way it runs; else -1
   */
  readonly mate: Int32Array;
  /** (3 F) 1 where the edge has one facet only */
  readonly isOpen: Uint8Array;
}

/** How many edges, and a half-edge that shows it; -1 if none. */
export interface EdgeCount {
  readonly count: number;
  readonly first: number;
}

/**
 * Pairs the half-edges of a mesh. Two are twins only if they are the only ones on their edge and run opposite
 * ways; any other is left at -1, so that whoever walks across a twin stays on a surface.
 *
 * @param mesh no facet uses a vertex twice
 */
export function buildTopology(mesh: Mesh): TopologyReport {
  const { triangles } = mesh;
  const { edgeOfHalf, facets, firstHalf } = edgeTable(triangles, mesh.positions.length / 3);
  const twin = new Int32Array(triangles.length).fill(-1);
  const mate = new Int32Array(triangles.length).fill(-1);
  const isOpen = new Uint8Array(triangles.length);
  let open = 0,
    nonManifold = 0,
    flipped = 0;
  let firstOpen = -1,
    firstNonManifold = -1,
    firstFlipped = -1;
  for (let h = 0; h < triangles.length; h++) {
    const e = edgeOfHalf[h],
      g = firstHalf[e];
    if (facets[e] === 1) {
      isOpen[h] = 1;
      if (open++ === 0) firstOpen = h;
    } else if (facets[e] > 2) {
      if (g !== h) continue;
      if (nonManifold++ === 0) firstNonManifold = h;
    } else if (g !== h) {
      mate[h] = g;
      mate[g] = h;
      if (triangles[h] !== triangles[g]) {
        twin[h] = g;
        twin[g] = h;
      } else if (flipped++ === 0) firstFlipped = h;
    }
  }
  return {
    topology: { twin },
    mate,
    isOpen,
    open: { count: open, first: firstOpen },
    nonManifold: { count: nonManifold, first: firstNonManifold },
    flipped: { count: flipped, first: firstFlipped },
  };
}

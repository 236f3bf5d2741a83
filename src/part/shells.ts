import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

/** Connected pieces of surface, joined over edges of exactly two facets. */
export interface Shells {
  readonly count: number;
  /** (F) */
  readonly shellOf: Int32Array;
  /** (S) lowest facet of each shell */
  readonly firstFace: Int32Array;
  /** (S) 1 where some edge has one facet only */
  readonly isOpen: Uint8Array;
  /** (F) 1 where a facet runs the other way round than the first of its shell */
  readonly parity: Uint8Array;
  /** Half-edges of edges where the winding cannot agree, whichever facets are turned. */
  readonly conflicts: readonly number[];
}

/** Finds the shells by flooding, and how each facet runs relative to the first of its shell. */
export function findShells(mesh: Mesh, report: TopologyReport): Shells {
  const { triangles } = mesh;
  const { mate } = report;
  const faces = triangles.length / 3;
  const shellOf = new Int32Array(faces).fill(-1);
  const parity = new Uint8Array(faces);
  const stack = new Int32Array(faces);
  const firstFaces: number[] = [];
  const open: number[] = [];
  const conflicts: number[] = [];
  for (let seed = 0; seed < faces; seed++) {
    if (shellOf[seed] >= 0) continue;
    const shell = firstFaces.length;
    firstFaces.push(seed);
    open.push(0);
    shellOf[seed] = shell;
    stack[0] = seed;
    for (let top = 1; top > 0; ) {
      const f = stack[--top];
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        open[shell] |= report.isOpen[h];
        const g = mate[h];
        if (g < 0) continue;
        const other = (g / 3) | 0;
        const wanted = triangles[h] === triangles[g] ? 1 - parity[f] : parity[f];
        if (shellOf[other] < 0) {
          shellOf[other] = shell;
          parity[other] = wanted;
          stack[top++] = other;
        } else if (parity[other] !== wanted && h < g) {
          conflicts.push(h);
        }
      }
    }
  }
  return {
    count: firstFaces.length,
    shellOf,
    firstFace: Int32Array.from(firstFaces),
    isOpen: Uint8Array.from(open),
    parity,
    conflicts,
  };
}

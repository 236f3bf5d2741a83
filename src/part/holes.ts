import { boundsOf } from '../core/bounds.js';
import { nextCorner } from './half-edge.js';
import type { Oriented } from './orient.js';
import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

/** A chain of open edges. */
export interface Hole {
  /** half-edges, each beginning where the one before ends */
  readonly halves: readonly number[];
  /** diagonal of its box, mm */
  readonly acrossMm: number;
  /** A ring whose cover would be no more than a hundredth of its shell. */
  readonly isSmall: boolean;
  /** Not small, and its cover would face down: no cutter comes from there, and a surface may well end. */
  readonly isBelow: boolean;
}

/** Share of a shell's area up to which the cover of a hole is small. Common practice, no source. */
const SMALL_SHARE = 0.01;
/** A cover that faces down is steeper than this against the horizon: cosine of 60 degrees to straight down. */
const DOWN = 0.5;

/**
 * The rings of open edges of a surface: holes, and rims of what has no bottom. Where more than two facets meet in
 * an edge a ring may come as several chains.
 *
 * @param report topology of the oriented mesh
 */
export function findHoles({ mesh, shells, areas }: Oriented, report: TopologyReport): Hole[] {
  if (report.open.count === 0) return [];
  const { isOpen, topology } = report;
  const after = new Int32Array(mesh.triangles.length).fill(-1);
  const hasBefore = new Uint8Array(after.length);
  for (let h = 0; h < after.length; h++) {
    if (isOpen[h] === 0) continue;
    // Round the end of h, facet by facet, to the open edge that goes on from there.
    let g = nextCorner(h);
    while (isOpen[g] === 0 && topology.twin[g] >= 0) g = nextCorner(topology.twin[g]);
    if (isOpen[g] === 0) continue;
    after[h] = g;
    hasBefore[g] = 1;
  }
  const seen = new Uint8Array(after.length);
  const holes: Hole[] = [];
  // Chains without an end first, so that no ring is begun in the middle of one.
  for (const ringsOnly of [false, true]) {
    for (let h = 0; h < after.length; h++) {
      if (isOpen[h] === 0 || seen[h] === 1 || (!ringsOnly && hasBefore[h] === 1)) continue;
      const halves: number[] = [];
      for (let g = h; g >= 0 && seen[g] === 0; g = after[g]) {
        seen[g] = 1;
        halves.push(g);
      }
      holes.push(measured(mesh, halves, ringsOnly, areas[shells.shellOf[(h / 3) | 0]]));
    }
  }
  return holes;
}

function measured(
  { positions: p, triangles }: Mesh,
  halves: readonly number[],
  isRing: boolean,
  shellMm2: number,
): Hole {
  const starts = halves.map((h) => triangles[h]);
  const { min, max } = boundsOf(p, [...starts, triangles[nextCorner(halves[halves.length - 1])]]);
  // Newell's sum about the first corner, over the ring the other way round: a cover continues the surface.
  const o = 3 * starts[0],
    area = [0, 0, 0];
  starts.forEach((from, i) => {
    const a = 3 * from,
      b = 3 * starts[(i + 1) % starts.length];
    for (let k = 0; k < 3; k++) {
      const [j, l] = [(k + 1) % 3, (k + 2) % 3];
      area[k] -=
        0.5 * ((p[a + j] - p[o + j]) * (p[b + l] - p[o + l]) - (p[a + l] - p[o + l]) * (p[b + j] - p[o + j]));
    }
  });
  const areaMm2 = Math.sqrt(area[0] ** 2 + area[1] ** 2 + area[2] ** 2);
  const acrossMm = Math.sqrt(min.reduce((sum, low, k) => sum + (max[k] - low) ** 2, 0));
  const isSmall = isRing && areaMm2 <= SMALL_SHARE * shellMm2;
  return { halves, acrossMm, isSmall, isBelow: isRing && !isSmall && area[2] <= -DOWN * areaMm2 };
}

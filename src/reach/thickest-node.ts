import type { GridWindow } from './grid-window.js';

/** Heights over the nodes of a window, (columns x rows) mm. */
export interface RestOverNodes {
  readonly heights: Float64Array;
  readonly cleared: Float64Array;
  /** cleared - height where that is rest, else 0 */
  readonly rest: Float64Array;
}

/** Rest that is thicker by less than this share of a pitch is as thick. */
const SAME_THICKNESS = 0.1;
/** One node in this many each way is looked at first, and speaks for those around it. */
const COARSE = 4;

/**
 * The node over which rest is thickest, if anywhere thicker than that. Thickness changes from place to place
 * by no more than the way between them, so most nodes are settled by a neighbour for which a cleared place
 * near enough was found.
 */
export function thickestNode(
  window: GridWindow,
  nodes: readonly number[],
  { heights, cleared, rest }: RestOverNodes,
  atLeastMm: number,
): { readonly mm: number; readonly node: number } | null {
  const { columns, rows, pitchMm } = window;
  const wide = Math.ceil(columns / COARSE);
  const bounds = new Float32Array(wide * Math.ceil(rows / COARSE)).fill(Infinity);
  let mm = atLeastMm,
    node = -1;
  const offset = { columns: 0, rows: 0 };
  const look = (k: number, enoughMm: number): number => {
    const distance = distanceToCleared(window, heights[k], cleared, k, enoughMm, offset);
    if (distance > mm + SAME_THICKNESS * pitchMm) {
      mm = distance;
      node = k;
    }
    return distance;
  };
  for (const k of nodes) {
    const i = k % columns,
      j = Math.floor(k / columns);
    if (i % COARSE !== 0 || j % COARSE !== 0 || rest[k] <= mm) continue;
    bounds[(j / COARSE) * wide + i / COARSE] = look(k, mm - COARSE * pitchMm);
  }
  for (const k of nodes) {
    const enough = mm + SAME_THICKNESS * pitchMm;
    if (rest[k] <= enough) continue;
    const u = k % columns,
      v = Math.floor(k / columns);
    const i = Math.floor(u / COARSE),
      j = Math.floor(v / COARSE);
    const up = heights[k] - heights[COARSE * (j * columns + i)];
    const way = Math.sqrt(up * up + pitchMm * pitchMm * ((u - COARSE * i) ** 2 + (v - COARSE * j) ** 2));
    if (bounds[j * wide + i] + way > enough) look(k, enough);
  }
  return node < 0 ? null : { mm, node };
}

/**
 * Distance from a point at height z over node k to the nearest cleared point over a node; stops once it is
 * not above `best`.
 *
 * @param offset nodes away that is looked at first; set to where the nearest was found
 */
function distanceToCleared(
  window: GridWindow,
  z: number,
  cleared: Float64Array,
  k: number,
  best: number,
  offset: { columns: number; rows: number },
): number {
  const { columns, rows, pitchMm } = window;
  const i = k % columns,
    j = Math.floor(k / columns);
  const distanceTo = (u: number, v: number): number => {
    const up = Math.max(0, cleared[v * columns + u] - z);
    return Math.sqrt(up * up + pitchMm * pitchMm * ((u - i) ** 2 + (v - j) ** 2));
  };
  let nearest = cleared[k] - z;
  const firstU = i + offset.columns,
    firstV = j + offset.rows;
  if (firstU >= 0 && firstU < columns && firstV >= 0 && firstV < rows)
    nearest = Math.min(nearest, distanceTo(firstU, firstV));
  // Rings of nodes outwards: the nearest cleared point is seldom far.
  for (let ring = 1; ring * pitchMm < nearest && nearest > best; ring++) {
    for (let v = Math.max(0, j - ring); v <= Math.min(rows - 1, j + ring); v++) {
      const step = Math.abs(v - j) === ring ? 1 : 2 * ring;
      for (let u = i - ring; u <= i + ring; u += step) {
        if (u < 0 || u >= columns) continue;
        const distance = distanceTo(u, v);
        if (distance >= nearest) continue;
        nearest = distance;
        offset.columns = u - i;
        offset.rows = v - j;
      }
    }
  }
  return nearest;
}

import type { Facets } from './facets.js';
import { lowestCentre } from './lowest-centre.js';

/** Half diagonal of the smallest cells, mm, and the most cells looked at for one answer. */
const FINEST_MM = 0.001;
const MOST_CELLS = 600;
/** Cells along each side at the start. */
const SIDE = 6;
const { SQRT2, sqrt, max } = Math;

const BESIDE = [
  [1, 0],
  [-1, 0],
  [0, 1],
  [0, -1],
] as const;

// A cell is (x, y, half side, lower bound of the height).
const cells = new Float64Array(4 * (SIDE * SIDE + 4 * 64));

/** What is asked of one column. */
export interface Column {
  readonly x: number;
  readonly y: number;
  /** height of the surface, mm: nothing is cleared below it */
  readonly surface: number;
  /** height known to be cleared, mm */
  readonly cleared: number;
}

/**
 * Lowest height to which a ball of radius R, its shaft above it, clears a column without cutting into the
 * facets, at most 6 per cent of the rest, or 2 µm, too high, and mostly far less. By branch and bound over the axis in plan, bounded as
 * in `isReached`: no cutter with its axis in a cell of half diagonal rho has its centre lower than one of
 * radius R - rho in the middle, nor its underside further below its centre than where the cell comes nearest.
 *
 * @param axes (2 A) places in plan to try first: where a cutter just fits, cells would have to be as small as
 *   its play
 */
export function clearedHeight(
  facets: Facets,
  { x, y, surface, cleared }: Column,
  radius: number,
  axes: readonly number[],
): number {
  let low = cleared;
  let [bestX, bestY] = [x, y];
  const enough = (): number => low - max(0.002, 0.06 * (low - surface));
  const attempt = (cx: number, cy: number): void => {
    const under = radius * radius - (cx - x) ** 2 - (cy - y) ** 2;
    const height = under > 0 ? max(surface, lowestCentre(facets, cx, cy, radius) - sqrt(under)) : Infinity;
    if (height < low) [low, bestX, bestY] = [height, cx, cy];
  };
  for (let i = 0; i < axes.length && enough() > surface; i += 2) attempt(axes[i], axes[i + 1]);
  let depth = 0;
  const push = (cx: number, cy: number, half: number): void => {
    const rho = half * SQRT2;
    const nearest = max(0, sqrt((cx - x) ** 2 + (cy - y) ** 2) - rho);
    if (nearest >= radius) return;
    const centre = rho < radius ? lowestCentre(facets, cx, cy, radius - rho) : -Infinity;
    const bound = max(surface, centre - sqrt(radius * radius - nearest * nearest));
    if (bound >= enough()) return;
    let at = depth++;
    for (; at > 0 && at > depth - 4 && cells[4 * at - 1] < bound; at--) {
      cells.copyWithin(4 * at, 4 * at - 4, 4 * at);
    }
    cells.set([cx, cy, half, bound], 4 * at);
  };
  const half = radius / SIDE;
  for (let k = 0; k < SIDE * SIDE; k++) {
    push(x + half * (2 * (k % SIDE) + 1 - SIDE), y + half * (2 * Math.floor(k / SIDE) + 1 - SIDE), half);
  }
  for (let seen = 0; depth > 0 && seen < MOST_CELLS; seen++) {
    const [cx, cy, size, bound] = cells.subarray(4 * --depth, 4 * depth + 4);
    if (bound >= enough()) continue;
    attempt(cx, cy);
    if (size * SQRT2 <= FINEST_MM || bound >= enough()) continue;
    const q = size / 2;
    for (let k = 0; k < 4; k++) push(cx + (k % 2 ? q : -q), cy + (k > 1 ? q : -q), q);
  }
  // From the best place on to better ones beside it, by ever smaller steps.
  for (let step = radius / 16; step > FINEST_MM && low > surface; step /= 2) {
    for (const [a, b] of BESIDE) attempt(bestX + a * step, bestY + b * step);
  }
  return low;
}

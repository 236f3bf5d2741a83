import type { Facets } from './facets.js';
import { lowestCentre } from './lowest-centre.js';

/** Half diagonal of the smallest cells, mm, and the most cells looked at for one answer. */
const FINEST_MM = 0.001;
const MOST_CELLS = 4_000;
/** Cells along each side at the start. */
const SIDE = 6;

/** 1 reached, 0 not reached, 0.5 not to be told at the finest cells. */
export type Reached = 0 | 0.5 | 1;

const SQRT2 = Math.SQRT2;
// A cell is (x, y, half side, lower bound of its gap); three of four children stay on the stack at each level.
const cells = new Float64Array(4 * (SIDE * SIDE + 4 * 64));

/**
 * Does a ball of radius R, its shaft above it, come within the tolerance of p without cutting into the
 * facets? By branch and bound over the axis in plan. Over a cell of half diagonal rho no cutter stands lower
 * than one of radius R - rho in the middle, since that one is inside all of them; so a cell whose lower bound
 * exceeds the tolerance is ruled out, and one place that comes near enough is an answer.
 *
 * @param p, n point and unit normal: where to try first
 * @param axes (2 A) places in plan to try next
 */
export function isReached(
  facets: Facets,
  p: ArrayLike<number>,
  n: ArrayLike<number>,
  radius: number,
  toleranceMm: number,
  axes: readonly number[],
): Reached {
  const [px, py, pz] = [p[0], p[1], p[2]];
  const holds = (x: number, y: number): boolean => {
    const across = Math.sqrt((x - px) ** 2 + (y - py) ** 2);
    if (across > radius + toleranceMm) return false;
    return gap(across, lowestCentre(facets, x, y, radius) - pz, radius) <= toleranceMm;
  };
  for (const share of [0.5, 0, 0.9]) {
    const away = radius + share * toleranceMm;
    if (holds(px + away * n[0], py + away * n[1])) return 1;
  }
  for (let i = 0; i < axes.length; i += 2) if (holds(axes[i], axes[i + 1])) return 1;
  let depth = 0;
  const push = (x: number, y: number, half: number): void => {
    const bound = lowerBound(facets, Math.sqrt((x - px) ** 2 + (y - py) ** 2), [x, y, pz], half, radius);
    if (bound > toleranceMm) return;
    // The lowest bound on top: a place that reaches is found sooner.
    let at = depth++;
    for (; at > 0 && at > depth - 4 && cells[4 * at - 1] < bound; at--)
      cells.copyWithin(4 * at, 4 * at - 4, 4 * at);
    cells.set([x, y, half, bound], 4 * at);
  };
  const half = (radius + toleranceMm) / SIDE;
  for (let k = 0; k < SIDE * SIDE; k++) {
    push(px + half * (2 * (k % SIDE) + 1 - SIDE), py + half * (2 * Math.floor(k / SIDE) + 1 - SIDE), half);
  }
  let open = false;
  for (let seen = 0; depth > 0; seen++) {
    if (seen > MOST_CELLS) return 0.5;
    const [x, y, size] = cells.subarray(4 * --depth, 4 * depth + 3);
    if (holds(x, y)) return 1;
    if (size * SQRT2 <= FINEST_MM) {
      open = true;
      continue;
    }
    const quarter = size / 2;
    for (let k = 0; k < 4; k++)
      push(x + (k % 2 ? quarter : -quarter), y + (k > 1 ? quarter : -quarter), quarter);
  }
  return open ? 0.5 : 0;
}

/** Distance of a point from the cutter: `across` from its axis, the ball's centre `above` the point. */
function gap(across: number, above: number, radius: number): number {
  const distance = above > 0 ? Math.sqrt(across * across + above * above) : across;
  return Math.max(0, distance - radius);
}

/** No axis in the cell brings the cutter nearer to p than this. */
function lowerBound(
  facets: Facets,
  across: number,
  [x, y, pz]: readonly [number, number, number],
  half: number,
  radius: number,
): number {
  const rho = half * SQRT2;
  const nearest = Math.max(0, across - rho);
  const above = rho < radius ? lowestCentre(facets, x, y, radius - rho) - pz : -Infinity;
  return gap(nearest, above, radius);
}

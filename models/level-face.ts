import type { Point, SoupBuilder } from '../tests/support/shapes/soup.js';

/**
 * Adds a level face with holes.
 *
 * @param outer, holes loops at one height, all counter-clockwise seen from above, apart from each other
 * @param facing whether the solid lies below (`up`) or above (`down`) the face
 */
export function addLevelFace(
  soup: SoupBuilder,
  outer: readonly Point[],
  holes: readonly (readonly Point[])[],
  facing: 'up' | 'down' = 'up',
): void {
  let loop = [...outer];
  const bridged = new Set<Point>();
  const waiting = holes.map((hole) => [...hole].reverse());
  while (waiting.length > 0) {
    const { hole, i, j } = shortestBridge(loop, waiting, bridged);
    const inner = waiting.splice(hole, 1)[0];
    bridged.add(loop[i]).add(inner[j]);
    loop = [...loop.slice(0, i + 1), ...inner.slice(j), ...inner.slice(0, j + 1), ...loop.slice(i)];
  }
  if (facing === 'up') soup.polygon(loop);
  else soup.polygon(loop.reverse());
}

interface Bridge {
  readonly hole: number;
  readonly i: number;
  readonly j: number;
}

/**
 * Shortest segment from the loop to any waiting hole that meets no edge; ends of older bridges are left
 * alone.
 */
function shortestBridge(
  loop: readonly Point[],
  waiting: readonly (readonly Point[])[],
  bridged: ReadonlySet<Point>,
): Bridge {
  const rings = [loop, ...waiting];
  const clear = (from: Point, to: Point): boolean =>
    rings.every((ring) => ring.every((p, k) => !meets(from, to, p, ring[(k + 1) % ring.length])));
  let best: Bridge = { hole: -1, i: -1, j: -1 };
  let least = Infinity;
  for (let hole = 0; hole < waiting.length; hole++) {
    for (let i = 0; i < loop.length; i++) {
      if (bridged.has(loop[i])) continue;
      for (let j = 0; j < waiting[hole].length; j++) {
        const [p, q] = [loop[i], waiting[hole][j]];
        const length = (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2;
        if (length < least && clear(p, q)) [best, least] = [{ hole, i, j }, length];
      }
    }
  }
  if (best.hole < 0) throw new RangeError('addLevelFace: a hole cannot be joined to the outer loop');
  return best;
}

/** Whether two segments share a point that is not an end of both. */
function meets(a: Point, b: Point, c: Point, d: Point): boolean {
  if (a === c || a === d || b === c || b === d) return false;
  const side = (p: Point, q: Point, r: Point): number =>
    Math.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
  return side(a, b, c) * side(a, b, d) <= 0 && side(c, d, a) * side(c, d, b) <= 0;
}

import type { Shells } from './shells.js';
import type { Mesh } from './types.js';

/**
 * Weights of a point inside a facet that hardly ever lies straight below an edge of another: no ratio of
 * small numbers.
 */
const INSIDE = [0.21132487, 0.35476391, 0.43391122] as const;

/**
 * How often each shell is enclosed by the others. From one point of each a ray goes up and counts, by direction,
 * the facets of the other shells that it leaves through: 0 outside all, positive inside outward-facing ones,
 * negative inside inside-out ones.
 *
 * @param turned (F) 1 where a facet is to be read the other way round
 * @param volumes (S) signed; shells of 0 are not asked about
 * @returns (S)
 */
export function shellWindings(
  mesh: Mesh,
  shells: Shells,
  turned: Uint8Array,
  volumes: Float64Array,
): Int32Array {
  const windings = new Int32Array(shells.count);
  if (shells.count === 1) return windings;
  const { positions, triangles } = mesh;
  const asked = Array.from(volumes.keys()).filter((shell) => volumes[shell] !== 0);
  const points = asked.map((shell) => {
    const f = shells.firstFace[shell];
    const at = (i: number) =>
      INSIDE.reduce((sum, w, k) => sum + w * positions[3 * triangles[3 * f + k] + i], 0);
    return { shell, x: at(0), y: at(1), z: at(2) };
  });
  const byX = points.sort((p, q) => p.x - q.x || p.shell - q.shell);
  const xs = Float64Array.from(byX, (point) => point.x);
  for (let f = 0, h = 0; f < shells.shellOf.length; f++, h += 3) {
    const a = 3 * triangles[h],
      b = 3 * triangles[h + 1],
      c = 3 * triangles[h + 2];
    const least = Math.min(positions[a], positions[b], positions[c]);
    const most = Math.max(positions[a], positions[b], positions[c]);
    for (let i = firstAtLeast(xs, least); i < xs.length && xs[i] <= most; i++) {
      const point = byX[i];
      if (point.shell === shells.shellOf[f]) continue;
      const crossing = crossingAbove(positions, a, b, c, point.x, point.y, point.z);
      windings[point.shell] += turned[f] === 1 ? -crossing : crossing;
    }
  }
  return windings;
}

function firstAtLeast(sorted: Float64Array, value: number): number {
  let low = 0,
    high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * +1 where a ray going up from a point leaves through the front of a triangle, -1 through the back, 0 where it misses.
 * Where it meets an edge, one of the two facets there has it.
 *
 * @param p coordinates, those of the triangle's corners from a, b and c on
 */
export function crossingAbove(
  p: ArrayLike<number>,
  a: number,
  b: number,
  c: number,
  x: number,
  y: number,
  z: number,
): number {
  if (p[a + 2] <= z && p[b + 2] <= z && p[c + 2] <= z) return 0;
  const turns = side(p, a, b, x, y) + side(p, b, c, x, y) + side(p, c, a, x, y);
  if (turns === 0) return 0;
  const ux = p[b] - p[a],
    uy = p[b + 1] - p[a + 1],
    uz = p[b + 2] - p[a + 2];
  const vx = p[c] - p[a],
    vy = p[c + 1] - p[a + 1],
    vz = p[c + 2] - p[a + 2];
  const up = ux * vy - uy * vx;
  if (up === 0) return 0;
  const height = p[a + 2] - ((uy * vz - uz * vy) * (x - p[a]) + (uz * vx - ux * vz) * (y - p[a + 1])) / up;
  return height > z ? turns : 0;
}

/**
 * How an edge in plan passes to the right of the point: +1 going up, -1 going down; both ways the same
 * rounding.
 */
function side(p: ArrayLike<number>, a: number, b: number, x: number, y: number): number {
  const ya = p[a + 1],
    yb = p[b + 1];
  if (ya <= y === yb <= y) return 0;
  const [low, high] = ya < yb ? [a, b] : [b, a];
  const at = p[low] + (p[high] - p[low]) * ((y - p[low + 1]) / (p[high + 1] - p[low + 1]));
  if (at <= x) return 0;
  return ya < yb ? 1 : -1;
}

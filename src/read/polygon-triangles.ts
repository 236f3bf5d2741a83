import earcut from 'earcut';
import { readError } from './read-error.js';

/** Polygons over shared points. */
export interface Polygons {
  /** (3 V) */
  readonly points: Float64Array;
  /** point of each corner, one polygon after the other */
  readonly corners: ArrayLike<number>;
  /** where in `corners` each polygon ends */
  readonly ends: ArrayLike<number>;
}

/**
 * Corners (9 T) of the triangles of polygons; one of n corners gives n - 2. What has more than three may be
 * hollow: it is cut in the plane that fits it, not spread out from its first corner.
 *
 * @throws {PartError} `read.damaged` if a corner names a point that is not there
 */
export function polygonTriangles({ points, corners, ends }: Polygons, name: string): Float64Array {
  checkCorners({ points, corners, ends }, name);
  let most = 0;
  for (let p = 0, start = 0; p < ends.length; start = ends[p++]) most += Math.max(0, ends[p] - start - 2);
  const out = new Float64Array(9 * most);
  let at = 0;
  const put = (corner: number): void => {
    for (let i = 0, from = 3 * corners[corner]; i < 3; i++) out[at++] = points[from + i];
  };
  for (let p = 0, start = 0; p < ends.length; start = ends[p++]) {
    const count = ends[p] - start;
    if (count === 3) for (let k = 0; k < 3; k++) put(start + k);
    else if (count > 3) {
      const ring = Array.from({ length: count }, (_, k) => 3 * corners[start + k]);
      for (const k of ringTriangles(points, ring)) put(start + k);
    }
  }
  return at === out.length ? out : out.slice(0, at);
}

function checkCorners({ points, corners, ends }: Polygons, name: string): void {
  const count = points.length / 3;
  for (let p = 0, c = 0; p < ends.length; p++) {
    for (; c < ends[p]; c++) {
      if (corners[c] >= 0 && corners[c] < count && Number.isInteger(corners[c])) continue;
      const what = `vertex ${corners[c] + 1} of ${count}, which is not there`;
      throw readError('read.damaged', `${name}: face ${p + 1}`, what);
    }
  }
}

/**
 * Triangles of one ring, three corners each, wound as the ring is.
 *
 * @param ring where in `points` each of its corners begins
 */
function ringTriangles(points: Float64Array, ring: readonly number[]): number[] {
  const normal = areaVector(points, ring);
  const sizes = normal.map(Math.abs);
  const drop = sizes.indexOf(Math.max(...sizes));
  const [u, v] = normal[drop] < 0 ? [(drop + 2) % 3, (drop + 1) % 3] : [(drop + 1) % 3, (drop + 2) % 3];
  const flat = ring.flatMap((at) => [points[at + u], points[at + v]]);
  const triangles = earcut(flat);
  for (let t = 0; t < triangles.length; t += 3) {
    // Seen along the area the ring runs counter-clockwise; earcut may have turned it round.
    const [a, b, c] = [2 * triangles[t], 2 * triangles[t + 1], 2 * triangles[t + 2]];
    const twice =
      (flat[b] - flat[a]) * (flat[c + 1] - flat[a + 1]) - (flat[b + 1] - flat[a + 1]) * (flat[c] - flat[a]);
    if (twice < 0) [triangles[t + 1], triangles[t + 2]] = [triangles[t + 2], triangles[t + 1]];
  }
  return triangles;
}

/** Twice the area of a ring times its normal (Newell's sum). */
function areaVector(points: Float64Array, ring: readonly number[]): number[] {
  const sum = [0, 0, 0];
  ring.forEach((from, k) => {
    const to = ring[(k + 1) % ring.length];
    for (let i = 0; i < 3; i++) {
      const [j, l] = [(i + 1) % 3, (i + 2) % 3];
      sum[i] += (points[from + j] - points[to + j]) * (points[from + l] + points[to + l]);
    }
  });
  return sum;
}

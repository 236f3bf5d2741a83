import type { Facets } from './facets.js';

/** A ball that just fits must fit although coordinates are single precision: some times its step at 100 mm. */
const ROUNDING_MM = 2e-5;

const stack = new Int32Array(256);

/**
 * Height of the centre of a ball of radius R, its shaft above it, when it is let down at (x, y) on the
 * facets: the greatest z + sqrt(R² - d²) over all their points, d < R being a point's distance from the axis.
 * -Infinity where nothing lies under it. Exact but for rounding.
 */
export function lowestCentre(facets: Facets, x: number, y: number, radius: number): number {
  const { left, first, end, order, boxes } = facets;
  let height = -Infinity;
  let depth = 0;
  stack[depth++] = 0;
  while (depth > 0) {
    const node = stack[--depth];
    if (boxHeight(boxes, node, x, y, radius) <= height) continue;
    const child = left[node];
    if (child < 0) {
      for (let k = first[node]; k < end[node]; k++) {
        height = facetHeight(facets, order[k], x, y, radius - ROUNDING_MM, height);
      }
    } else {
      // The higher child last, so that it is looked at first and rules out more.
      const leftHigher = boxHeight(boxes, child, x, y, radius) >= boxHeight(boxes, child + 1, x, y, radius);
      stack[depth++] = leftHigher ? child + 1 : child;
      stack[depth++] = leftHigher ? child : child + 1;
    }
  }
  return height;
}

/** No facet in the box holds the ball higher; -Infinity beyond the radius. */
function boxHeight(boxes: Float64Array, node: number, x: number, y: number, radius: number): number {
  const b = 5 * node;
  const dx = x < boxes[b] ? boxes[b] - x : x > boxes[b + 1] ? x - boxes[b + 1] : 0;
  const dy = y < boxes[b + 2] ? boxes[b + 2] - y : y > boxes[b + 3] ? y - boxes[b + 3] : 0;
  const left = radius * radius - dx * dx - dy * dy;
  return left > 0 ? boxes[b + 4] + Math.sqrt(left) : -Infinity;
}

/**
 * What one facet holds the ball at, or `height` if that is more. z + sqrt(R² - d²) is concave in plan: it is
 * greatest where the plane touches the ball, if that lies in the facet, else on one of the three edges.
 */
function facetHeight(
  { corners, up, allowed }: Facets,
  f: number,
  x: number,
  y: number,
  radius: number,
  height: number,
): number {
  const i = 9 * f,
    n = 3 * f,
    a = 4 * f;
  const nz = up[n + 2];
  const own = radius - allowed[a];
  if (own > 0 && nz > 1e-12) {
    const px = x - own * up[n],
      py = y - own * up[n + 1];
    const s = side(corners, i, i + 3, px, py),
      t = side(corners, i + 3, i + 6, px, py),
      u = side(corners, i + 6, i, px, py);
    if ((s >= 0 && t >= 0 && u >= 0) || (s <= 0 && t <= 0 && u <= 0)) {
      const drop = up[n] * (px - corners[i]) + up[n + 1] * (py - corners[i + 1]);
      return Math.max(height, corners[i + 2] - drop / nz + own * nz);
    }
  }
  let best = edgeHeight(corners, i, i + 3, x, y, radius - allowed[a + 1], height);
  best = edgeHeight(corners, i + 3, i + 6, x, y, radius - allowed[a + 2], best);
  return edgeHeight(corners, i + 6, i, x, y, radius - allowed[a + 3], best);
}

const side = (c: Float64Array, i: number, j: number, x: number, y: number): number =>
  (c[j] - c[i]) * (y - c[i + 1]) - (c[j + 1] - c[i + 1]) * (x - c[i]);

/** The same for an edge: along it, s from the foot of the axis, greatest where d/ds of z + sqrt(q - s²) is 0. */
function edgeHeight(
  c: Float64Array,
  i: number,
  j: number,
  x: number,
  y: number,
  radius: number,
  height: number,
): number {
  if (radius <= 0) return height;
  const ex = c[j] - c[i],
    ey = c[j + 1] - c[i + 1];
  const ax = c[i] - x,
    ay = c[i + 1] - y;
  const length = Math.sqrt(ex * ex + ey * ey);
  if (length < 1e-12) {
    const q = radius * radius - ax * ax - ay * ay;
    return q > 0 ? Math.max(height, Math.max(c[i + 2], c[j + 2]) + Math.sqrt(q)) : height;
  }
  const away = (ax * ey - ay * ex) / length;
  const q = radius * radius - away * away;
  if (q <= 0) return height;
  const reach = Math.sqrt(q);
  const start = (ax * ex + ay * ey) / length;
  const low = Math.max(start, -reach),
    high = Math.min(start + length, reach);
  if (low >= high) return height;
  const slope = (c[j + 2] - c[i + 2]) / length;
  const s = Math.min(high, Math.max(low, (slope * reach) / Math.sqrt(1 + slope * slope)));
  return Math.max(height, c[i + 2] + slope * (s - start) + Math.sqrt(Math.max(0, q - s * s)));
}

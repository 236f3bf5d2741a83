import { listsByKey } from '../core/lists.js';
import { mapTo } from '../core/map-to.js';
import { boundsOf } from '../core/bounds.js';
import type { Mesh } from './types.js';

/** Facets to a leaf. */
const LEAF = 4;
/** Bits of a place along each axis. */
const AXIS_BITS = 10;

/**
 * Visits pairs of facets whose boxes meet: boxes of neighbours along a curve through space, two by two up to the
 * whole. Made for one question: a million facets take a third of what building the tree of reach takes.
 *
 * @param marginMm by which each box is taken larger
 * @param mostPairs after so many pairs of facets looked at no more are; how many it takes does not depend on time
 * @returns whether all pairs were visited
 */
export function facetPairs(
  mesh: Mesh,
  marginMm: number,
  mostPairs: number,
  visit: (f: number, g: number) => void,
): boolean {
  const order = alongCurve(mesh);
  const count = order.length;
  const boxes = facetBoxes(mesh, order, marginMm);
  const levels = boxLevels(boxes, count);
  let left = mostPairs;

  /** Whether nodes i and j of a level, or facets i and j, have boxes that meet. */
  const meet = (b: Float32Array, i: number, j: number): boolean =>
    b[6 * i] <= b[6 * j + 3] &&
    b[6 * j] <= b[6 * i + 3] &&
    b[6 * i + 1] <= b[6 * j + 4] &&
    b[6 * j + 1] <= b[6 * i + 4] &&
    b[6 * i + 2] <= b[6 * j + 5] &&
    b[6 * j + 2] <= b[6 * i + 5];

  function leaves(i: number, j: number): void {
    const endJ = Math.min(count, LEAF * (j + 1));
    for (let s = LEAF * i; s < Math.min(count, LEAF * (i + 1)); s++) {
      for (let t = i === j ? s + 1 : LEAF * j; t < endJ; t++) {
        if (!meet(boxes, s, t) || left === 0) continue;
        left--;
        visit(order[s], order[t]);
      }
    }
  }

  /** Pairs of facets below nodes i <= j of a level. */
  function descend(level: number, i: number, j: number): void {
    if (left === 0 || (i !== j && !meet(levels[level], i, j))) return;
    if (level === 0) {
      leaves(i, j);
      return;
    }
    const end = levels[level - 1].length / 6;
    for (let a = 2 * i; a < Math.min(end, 2 * i + 2); a++) {
      for (let b = i === j ? a : 2 * j; b < Math.min(end, 2 * j + 2); b++) descend(level - 1, a, b);
    }
  }

  if (count > 0) descend(levels.length - 1, 0, 0);
  return left > 0;
}

/** Facets in the order of their first corners along a curve that fills space (Morton 1966). */
function alongCurve({ positions, triangles }: Mesh): Uint32Array {
  const { min, max } = boundsOf(positions);
  const steps = 2 ** AXIS_BITS - 1;
  const [sx, sy, sz] = max.map((high, k) => (high > min[k] ? steps / (high - min[k]) : 0));
  const spread = Uint32Array.from({ length: steps + 1 }, (_, i) => {
    let out = 0;
    for (let bit = 0; bit < AXIS_BITS; bit++) out |= ((i >> bit) & 1) << (3 * bit);
    return out;
  });
  const codes = new Uint32Array(triangles.length / 3);
  for (let f = 0; f < codes.length; f++) {
    const a = 3 * triangles[3 * f];
    codes[f] =
      spread[((positions[a] - min[0]) * sx) | 0] |
      (spread[((positions[a + 1] - min[1]) * sy) | 0] << 1) |
      (spread[((positions[a + 2] - min[2]) * sz) | 0] << 2);
  }
  // Sorted by the lower half of the code, then by the upper: each keeps the order of what is equal.
  const half = 2 ** 15;
  const low = listsByKey(
    mapTo(new Uint32Array(codes.length), codes, (code) => code % half),
    half,
  ).items;
  const high = listsByKey(
    mapTo(new Uint32Array(codes.length), low, (f) => codes[f] >>> 15),
    half,
  ).items;
  return mapTo(high, high, (i) => low[i]);
}

/** (6 F) least and greatest corner of each facet, in the given order. */
function facetBoxes({ positions: p, triangles }: Mesh, order: Uint32Array, marginMm: number): Float32Array {
  const boxes = new Float32Array(6 * order.length);
  for (let i = 0; i < order.length; i++) {
    const h = 3 * order[i],
      a = 3 * triangles[h],
      b = 3 * triangles[h + 1],
      c = 3 * triangles[h + 2];
    for (let k = 0; k < 3; k++) {
      boxes[6 * i + k] = Math.min(p[a + k], p[b + k], p[c + k]) - marginMm;
      boxes[6 * i + 3 + k] = Math.max(p[a + k], p[b + k], p[c + k]) + marginMm;
    }
  }
  return boxes;
}

/** Boxes of leaves, then of two by two, up to one. */
function boxLevels(boxes: Float32Array, count: number): Float32Array[] {
  const levels: Float32Array[] = [];
  let below = boxes;
  for (let size = LEAF, nodes = Math.ceil(count / LEAF); ; size = 2, nodes = Math.ceil(nodes / 2)) {
    const own = new Float32Array(6 * nodes);
    const end = below.length / 6;
    for (let i = 0; i < nodes; i++) {
      const first = size * i;
      for (let k = 0; k < 3; k++) {
        let least = Infinity,
          most = -Infinity;
        for (let j = first; j < Math.min(end, first + size); j++) {
          if (below[6 * j + k] < least) least = below[6 * j + k];
          if (below[6 * j + 3 + k] > most) most = below[6 * j + 3 + k];
        }
        own[6 * i + k] = least;
        own[6 * i + 3 + k] = most;
      }
    }
    levels.push(own);
    below = own;
    if (nodes <= 1) return levels;
  }
}

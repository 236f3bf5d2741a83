import {
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  rightChild,
  STACK_DEPTH,
  type PartTree,
} from '../../reach/part-tree.js';

export interface RayHit {
  readonly facet: number;
  readonly distance: number;
}

/**
 * First facet that a ray meets.
 *
 * @param keep whether a point of a facet may be hit: false beyond a section plane, and on what is hidden
 * @returns null if it meets none
 */
export function castRay(
  tree: PartTree,
  from: readonly number[],
  along: readonly number[],
  keep: (point: readonly number[], facet: number) => boolean,
): RayHit | null {
  const { boxes, links, corners, facetOf } = tree;
  const o = [0, 1, 2].map((k) => from[k] - tree.centre[k]);
  const stack = new Int32Array(STACK_DEPTH);
  let depth = 0,
    best: RayHit | null = null;
  stack[depth++] = 0;
  while (depth > 0) {
    const node = stack[--depth];
    if (!meetsBox(boxes, node, o, along, best?.distance ?? Infinity)) continue;
    if (!isLeaf(links, node)) {
      stack[depth++] = leftChild(node);
      stack[depth++] = rightChild(links, node);
      continue;
    }
    for (let t = leafStart(links, node), end = t + leafCount(links, node); t < end; t++) {
      const distance = meetsTriangle(corners, 9 * t, o, along);
      if (distance >= (best?.distance ?? Infinity)) continue;
      if (
        keep(
          from.map((x, k) => x + distance * along[k]),
          facetOf[t],
        )
      )
        best = { facet: facetOf[t], distance };
    }
  }
  return best;
}

function meetsBox(
  boxes: Float32Array,
  node: number,
  o: readonly number[],
  d: readonly number[],
  limit: number,
): boolean {
  let near = -Infinity,
    far = limit;
  for (let k = 0; k < 3; k++) {
    const low = boxes[node + k] - o[k],
      high = boxes[node + 3 + k] - o[k];
    if (d[k] === 0) {
      if (low > 0 || high < 0) return false;
      continue;
    }
    const a = low / d[k],
      b = high / d[k];
    near = Math.max(near, Math.min(a, b));
    far = Math.min(far, Math.max(a, b));
  }
  return near <= far;
}

/** Distance to a triangle from either side (Möller & Trumbore 1997, doi:10.1080/10867651.1997.10487468). */
function meetsTriangle(c: Float32Array, i: number, o: readonly number[], d: readonly number[]): number {
  const ux = c[i + 3] - c[i],
    uy = c[i + 4] - c[i + 1],
    uz = c[i + 5] - c[i + 2];
  const vx = c[i + 6] - c[i],
    vy = c[i + 7] - c[i + 1],
    vz = c[i + 8] - c[i + 2];
  const px = d[1] * vz - d[2] * vy,
    py = d[2] * vx - d[0] * vz,
    pz = d[0] * vy - d[1] * vx;
  const volume = ux * px + uy * py + uz * pz;
  if (volume === 0) return Infinity;
  const sx = o[0] - c[i],
    sy = o[1] - c[i + 1],
    sz = o[2] - c[i + 2];
  const b = (sx * px + sy * py + sz * pz) / volume;
  if (b < -1e-9 || b > 1 + 1e-9) return Infinity;
  const qx = sy * uz - sz * uy,
    qy = sz * ux - sx * uz,
    qz = sx * uy - sy * ux;
  const w = (d[0] * qx + d[1] * qy + d[2] * qz) / volume;
  if (w < -1e-9 || b + w > 1 + 1e-9) return Infinity;
  const distance = (vx * qx + vy * qy + vz * qz) / volume;
  return distance < 0 ? Infinity : distance;
}

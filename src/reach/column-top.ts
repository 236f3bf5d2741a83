import {
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  rightChild,
  STACK_DEPTH,
  type PartTree,
} from './part-tree.js';

/**
 * Height of the part's highest surface over a point in plan.
 *
 * @returns a function of x and y, mm, giving z in mm; -Infinity where the part has nothing over or under the
 *   point. Edges count as part of the surface. Holds scratch: one per thread.
 */
export function columnTop(tree: PartTree): (x: number, y: number) => number {
  const { boxes, links, corners } = tree;
  const [ox, oy, oz] = tree.centre;
  const stack = new Int32Array(STACK_DEPTH);
  return (wx, wy) => {
    const x = wx - ox,
      y = wy - oy;
    let best = -Infinity;
    let top = 0;
    stack[top++] = 0;
    while (top > 0) {
      const node = stack[--top];
      if (x < boxes[node] || x > boxes[node + 3] || y < boxes[node + 1] || y > boxes[node + 4]) continue;
      if (boxes[node + 5] <= best) continue;
      if (!isLeaf(links, node)) {
        stack[top++] = leftChild(node);
        stack[top++] = rightChild(links, node);
        continue;
      }
      const start = leafStart(links, node),
        end = start + leafCount(links, node);
      for (let t = start; t < end; t++) best = Math.max(best, heightOver(corners, 9 * t, x, y));
    }
    return best + oz;
  };
}

/** Height of a triangle over a point in plan; -Infinity beside it; the upper end where it stands upright. */
function heightOver(t: Float32Array, o: number, x: number, y: number): number {
  const abx = t[o + 3] - t[o],
    aby = t[o + 4] - t[o + 1],
    acx = t[o + 6] - t[o],
    acy = t[o + 7] - t[o + 1];
  const area = abx * acy - aby * acx;
  // An upright facet is seen edge on: its neighbours, which share its upper edge, give the height.
  if (area === 0) return -Infinity;
  const px = x - t[o],
    py = y - t[o + 1];
  const v = (px * acy - py * acx) / area,
    w = (abx * py - aby * px) / area;
  if (v < 0 || w < 0 || v + w > 1) return -Infinity;
  return t[o + 2] + v * (t[o + 5] - t[o + 2]) + w * (t[o + 8] - t[o + 2]);
}

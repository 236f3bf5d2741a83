import { columnTop } from './column-top.js';
import type { PartTree } from './part-tree.js';

/**
 * Nodes along the longer side of the plan. Notches in the outer silhouette narrower than two steps stay
 * closed.
 */
const NODES = 320;

/**
 * Tells whether a point in plan lies outside the part's outer silhouette, that is, nothing of the part lies
 * over or under it and a path leads from it round the part to the open: a through hole does not count.
 *
 * @returns a function of x and y, mm
 */
export function openPlan(tree: PartTree): (x: number, y: number) => boolean {
  const top = columnTop(tree);
  const [ox, oy] = tree.centre;
  const { boxes } = tree;
  const minX = boxes[0] + ox,
    minY = boxes[1] + oy,
    maxX = boxes[3] + ox,
    maxY = boxes[4] + oy;
  const step = Math.max(maxX - minX, maxY - minY, 1e-9) / NODES;
  const columns = Math.ceil((maxX - minX) / step) + 3,
    rows = Math.ceil((maxY - minY) / step) + 3;
  const open = new Uint8Array(columns * rows);
  const stack = [0];
  const isEmpty = (node: number): boolean => {
    const i = node % columns,
      j = (node - i) / columns;
    if (i === 0 || j === 0 || i === columns - 1 || j === rows - 1) return true;
    return top(minX + (i - 1) * step, minY + (j - 1) * step) === -Infinity;
  };
  open[0] = 1;
  while (stack.length > 0) {
    const node = stack.pop() ?? 0;
    const i = node % columns;
    for (const next of [
      i > 0 ? node - 1 : -1,
      i < columns - 1 ? node + 1 : -1,
      node - columns,
      node + columns,
    ]) {
      if (next < 0 || next >= open.length || open[next] || !isEmpty(next)) continue;
      open[next] = 1;
      stack.push(next);
    }
  }
  return (x, y) => {
    if (top(x, y) > -Infinity) return false;
    const i = Math.round((x - minX) / step) + 1,
      j = Math.round((y - minY) / step) + 1;
    for (let dj = -1; dj <= 1; dj++) {
      for (let di = -1; di <= 1; di++) {
        const u = i + di,
          v = j + dj;
        if (u < 0 || v < 0 || u >= columns || v >= rows || open[v * columns + u]) return true;
      }
    }
    return false;
  };
}

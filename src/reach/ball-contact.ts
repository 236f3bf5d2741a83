import {
  beside,
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  rightChild,
  STACK_DEPTH,
  type PartTree,
} from './part-tree.js';
import { triangleRayDistance, type RayContact } from './ray-distance.js';

/** Where a ball-nose cutter cuts deepest into the part. */
export interface BallContact {
  /** mm by which the cutter enters the part; <= 0: it does not */
  depth: number;
  /** point of the part, mm; a point beside the shaft stands for all below it, and is that at the ball's height */
  x: number;
  y: number;
  z: number;
  /** facet of the part, -1: none */
  facet: number;
  /** the same by its place in the tree, -1: none */
  leaf: number;
}

/** Queries of one tree; holds scratch, so one per thread. */
export interface BallQuery {
  /**
   * Deepest entry of a ball-nose cutter: a ball, and a shaft of the same radius above it.
   *
   * @param ball (5) its centre and radius, mm, and a depth above which the search may end, Infinity: the true deepest;
   *   five numbers with a fraction would each be boxed
   * @returns the same object each time
   */
  deepest(ball: Float64Array): BallContact;
  /**
   * How far a point that lies over a facet, square to it, may move along it and stay over it, mm; 0: it does not
   * lie over it.
   *
   * @param leaf the facet's place in the tree
   * @param out (4) the facet's unit normal, and how far the point lies before its plane, mm
   */
  roomOver(leaf: number, x: number, y: number, z: number, out: Float64Array): number;
}

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function ballQuery(tree: PartTree): BallQuery {
  const { boxes, links, columns, corners, planes, facetOf } = tree;
  const [ox, oy, oz] = tree.centre;
  const stack = new Int32Array(STACK_DEPTH);
  const contact: BallContact = { depth: 0, x: 0, y: 0, z: 0, facet: -1, leaf: -1 };
  const found: RayContact = { squared: 0, x: 0, y: 0, z: 0 };
  const from = new Float64Array(3);

  /** Squared distance from the rising half-line to a node's box: a lower bound for all facets in it. */
  const boxDistance = (node: number, x: number, y: number, z: number): number => {
    const dx = x < boxes[node] ? boxes[node] - x : x > boxes[node + 3] ? x - boxes[node + 3] : 0;
    const dy = y < boxes[node + 1] ? boxes[node + 1] - y : y > boxes[node + 4] ? y - boxes[node + 4] : 0;
    const dz = z > boxes[node + 5] ? z - boxes[node + 5] : 0;
    return dx * dx + dy * dy + dz * dz;
  };

  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one search; its state stays locals, which no call per facet could hand over.
  const deepest: BallQuery['deepest'] = (ball) => {
    const x = ball[0] - ox,
      y = ball[1] - oy,
      z = ball[2] - oz,
      radius = ball[3],
      stopAbove = ball[4];
    from[0] = x;
    from[1] = y;
    from[2] = z;
    contact.depth = 0;
    contact.facet = contact.leaf = -1;
    // Only facets nearer than this can be entered deeper than what was found.
    let reach = radius,
      reach2 = radius > 0 ? radius * radius : 0;
    let top = 0;
    if (boxDistance(0, x, y, z) < reach2) stack[top++] = 0;
    while (top > 0) {
      const node = stack[--top];
      // The cutter may stay clear of all that the node holds.
      if (columns[node + 3] !== 0) {
        const above = boxes[node + 5] - z;
        const over = columns[node] * x + columns[node + 1] * y + columns[node + 2] * z - columns[node + 3];
        // Up the shaft it nears what leans over it, no higher than that goes.
        if (over + (above > 0 && columns[node + 2] < 0 ? columns[node + 2] * above : 0) > reach) continue;
        // Below the ball's centre only the ball counts.
        if (over > 0 && above <= 0) {
          const radial = Math.sqrt(Math.max(0, beside(columns, node, x, y, z))) - columns[node + 7];
          if (radial > 0 && over * over + radial * radial > reach2) continue;
        }
      }
      if (isLeaf(links, node)) {
        const start = leafStart(links, node),
          end = start + leafCount(links, node);
        for (let t = start; t < end; t++) {
          // Most facets near the contact lie in planes that the ball stays clear of, which is soon seen; and what
          // faces up the shaft stays clear of, too.
          const p = 4 * t,
            o = 9 * t;
          const off = planes[p] * x + planes[p + 1] * y + planes[p + 2] * z - planes[p + 3];
          if (off > reach && planes[p + 2] >= 0) continue;
          if ((off > reach || off < -reach) && corners[o + 2] < z && corners[o + 5] < z && corners[o + 8] < z)
            continue;
          triangleRayDistance(corners, o, from, found);
          if (!(found.squared < reach2)) continue;
          reach2 = found.squared;
          reach = Math.sqrt(reach2);
          contact.depth = radius - reach;
          contact.x = found.x + ox;
          contact.y = found.y + oy;
          contact.z = Math.min(found.z, z) + oz;
          contact.facet = facetOf[t];
          contact.leaf = t;
          if (contact.depth > stopAbove) return contact;
        }
        continue;
      }
      const left = leftChild(node),
        right = rightChild(links, node);
      const toLeft = boxDistance(left, x, y, z),
        toRight = boxDistance(right, x, y, z);
      if (toLeft <= toRight) {
        if (toRight < reach2) stack[top++] = right;
        if (toLeft < reach2) stack[top++] = left;
      } else {
        if (toLeft < reach2) stack[top++] = left;
        if (toRight < reach2) stack[top++] = right;
      }
    }
    return contact;
  };
  const roomOver: BallQuery['roomOver'] = (leaf, wx, wy, wz, out) => {
    const x = wx - ox,
      y = wy - oy,
      z = wz - oz,
      o = 9 * leaf,
      p = 4 * leaf;
    const nx = planes[p],
      ny = planes[p + 1],
      nz = planes[p + 2];
    out[0] = nx;
    out[1] = ny;
    out[2] = nz;
    out[3] = nx * x + ny * y + nz * z - planes[p + 3];
    let room = Infinity;
    for (let k = 0; k < 3; k++) {
      const i = o + 3 * k,
        j = k === 2 ? o : i + 3;
      const ex = corners[j] - corners[i],
        ey = corners[j + 1] - corners[i + 1],
        ez = corners[j + 2] - corners[i + 2];
      const dx = x - corners[i],
        dy = y - corners[i + 1],
        dz = z - corners[i + 2];
      // How far inside the edge: along n x e.
      const inside = (ny * ez - nz * ey) * dx + (nz * ex - nx * ez) * dy + (nx * ey - ny * ex) * dz;
      room = Math.min(room, inside / Math.sqrt(ex * ex + ey * ey + ez * ez));
    }
    return Math.max(0, room);
  };
  return { deepest, roomOver };
}

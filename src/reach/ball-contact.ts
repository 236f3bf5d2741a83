import {
  beside,
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  rightChild,
  standOff,
  STACK_DEPTH,
  type PartTree,
} from './part-tree.js';
import { triangleRayDistance, type RayContact } from './ray-distance.js';

/** Where a ball-nose cutter cuts deepest into the part. */
export interface BallContact {
  /** mm by which the cutter enters the part beyond what is allowed; <= 0: it does not */
  depth: number;
  /** allowance at the contact, mm: slack, and what the facet stands out of the true surface there */
  allowed: number;
  /** distance between contact and cutter axis (above the ball) or ball centre, mm */
  distance: number;
  /** contact on the part, mm */
  x: number;
  y: number;
  z: number;
  /** the contact stands higher than the ball's centre: the shaft enters it */
  onShaft: boolean;
  /**
   * unit, from the contact to the ball's centre, on the shaft to its axis; the facet's normal where they
   * coincide
   */
  mx: number;
  my: number;
  mz: number;
  /** the contact lies inside a facet, not on its edges or corners: the ball's centre stands square over it */
  planar: boolean;
  /** facet of the part, -1: none */
  facet: number;
  /** the same by its place in the tree, -1: none */
  leaf: number;
}

/** Queries of one tree; holds scratch, so one per thread. */
export interface BallQuery {
  /**
   * Deepest entry of a ball-nose cutter (ball of `radius`, shaft of the same radius above it) whose ball
   * centre is (x, y, z). Entering a facet by up to `slack` plus its `standOff` at the contact does not count.
   *
   * @param stopAbove the search may end once a depth above this is found; Infinity: the true deepest
   * @returns the same object each time
   */
  deepest(x: number, y: number, z: number, radius: number, slack: number, stopAbove?: number): BallContact;
  /**
   * Entry into one facet; `depth` is negative where the cutter stays clear of it. @param leaf its place in
   * the tree
   */
  entry(leaf: number, x: number, y: number, z: number, radius: number, slack: number): BallContact;
}

/**
 * Cosine between a facet's normal and the way to the centre from which on the contact counts as inside the
 * facet.
 */
const SQUARE = 1 - 1e-7;
const COINCIDENT_MM = 1e-9;

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function ballQuery(tree: PartTree): BallQuery {
  const { boxes, links, columns, corners, planes, facetOf } = tree;
  const [ox, oy, oz] = tree.centre;
  const stack = new Int32Array(STACK_DEPTH);
  const contact: BallContact = {
    depth: 0,
    allowed: 0,
    distance: 0,
    x: 0,
    y: 0,
    z: 0,
    onShaft: false,
    mx: 0,
    my: 0,
    mz: 0,
    planar: false,
    facet: -1,
    leaf: -1,
  };
  const found: RayContact = { squared: 0, x: 0, y: 0, z: 0 };

  /** Squared distance from the rising half-line to a node's box: a lower bound for all facets in it. */
  const boxDistance = (node: number, x: number, y: number, z: number): number => {
    const dx = x < boxes[node] ? boxes[node] - x : x > boxes[node + 3] ? x - boxes[node + 3] : 0;
    const dy = y < boxes[node + 1] ? boxes[node + 1] - y : y > boxes[node + 4] ? y - boxes[node + 4] : 0;
    const dz = z > boxes[node + 5] ? z - boxes[node + 5] : 0;
    return dx * dx + dy * dy + dz * dz;
  };

  /** Direction of the last contact, from a centre at (x, y, z). */
  const aim = (x: number, y: number, z: number): void => {
    const p = 4 * contact.leaf,
      { distance } = contact;
    if (distance > COINCIDENT_MM) {
      contact.mx = (x + ox - contact.x) / distance;
      contact.my = (y + oy - contact.y) / distance;
      contact.mz = contact.onShaft ? 0 : (z + oz - contact.z) / distance;
      contact.planar =
        planes[p] * contact.mx + planes[p + 1] * contact.my + planes[p + 2] * contact.mz > SQUARE;
    } else {
      contact.mx = planes[p];
      contact.my = planes[p + 1];
      contact.mz = planes[p + 2];
      contact.planar = false;
    }
  };

  const settle = (t: number, z: number, depth: number, allowed: number, distance: number): void => {
    contact.depth = depth;
    contact.allowed = allowed;
    contact.distance = distance;
    contact.x = found.x + ox;
    contact.y = found.y + oy;
    contact.z = found.z + oz;
    contact.onShaft = found.z > z;
    contact.facet = facetOf[t];
    contact.leaf = t;
  };

  const entry = (
    t: number,
    wx: number,
    wy: number,
    wz: number,
    radius: number,
    slack: number,
  ): BallContact => {
    const x = wx - ox,
      y = wy - oy,
      z = wz - oz;
    triangleRayDistance(corners, 9 * t, x, y, z, found);
    const distance = Math.sqrt(found.squared),
      allowed = slack + standOff(tree, t, found.x, found.y, found.z);
    settle(t, z, radius - allowed - distance, allowed, distance);
    aim(x, y, z);
    return contact;
  };

  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one search; its state stays locals, which no call per facet could hand over.
  const deepest = (
    wx: number,
    wy: number,
    wz: number,
    radius: number,
    slack: number,
    stopAbove = Infinity,
  ): BallContact => {
    const x = wx - ox,
      y = wy - oy,
      z = wz - oz;
    contact.depth = 0;
    contact.facet = -1;
    contact.leaf = -1;
    // Only facets nearer than this can enter deeper than what was found.
    let reach = radius - slack;
    let reach2 = reach * reach;
    let top = 0;
    if (boxDistance(0, x, y, z) < reach2) stack[top++] = 0;
    while (top > 0) {
      const node = stack[--top];
      // Below the ball's centre only the ball counts, and it may stay clear of all that the node holds.
      if (boxes[node + 5] <= z && columns[node + 3] !== 0) {
        const over = columns[node] * x + columns[node + 1] * y + columns[node + 2] * z - columns[node + 3];
        if (over > reach) continue;
        if (over > 0) {
          const radial = Math.sqrt(Math.max(0, beside(columns, node, x, y, z))) - columns[node + 7];
          if (radial > 0 && over * over + radial * radial > reach2) continue;
        }
      }
      if (isLeaf(links, node)) {
        const start = leafStart(links, node),
          end = start + leafCount(links, node);
        for (let t = start; t < end; t++) {
          // Most facets near the contact lie in planes that the ball stays clear of, which is soon seen.
          const p = 4 * t,
            o = 9 * t;
          const off = planes[p] * x + planes[p + 1] * y + planes[p + 2] * z - planes[p + 3];
          if ((off > reach || off < -reach) && corners[o + 2] < z && corners[o + 5] < z && corners[o + 8] < z)
            continue;
          triangleRayDistance(corners, o, x, y, z, found);
          if (!(found.squared < reach2)) continue;
          const distance = Math.sqrt(found.squared);
          const allowed = slack + standOff(tree, t, found.x, found.y, found.z);
          const depth = radius - allowed - distance;
          if (depth <= contact.depth) continue;
          settle(t, z, depth, allowed, distance);
          if (depth > stopAbove) return contact;
          reach = radius - slack - depth;
          reach2 = reach > 0 ? reach * reach : 0;
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
    if (contact.depth > 0) aim(x, y, z);
    return contact;
  };
  return { deepest, entry };
}

/**
 * The flat facets of a part, in a tree of boxes in plan, each with its own highest point. It shares nothing
 * with `src`: what is wrong there must not be wrong here in the same way.
 */

/** Facets per leaf. */
const LEAF = 4;

/** Facets and their tree. Node `i` has its children at `left[i]` and `left[i] + 1`; a leaf has `left[i]` -1. */
export interface Facets {
  /** (9 F) corners, mm */
  readonly corners: Float64Array;
  /** (3 F) unit normals turned to z >= 0; 0 where a facet has no area */
  readonly up: Float64Array;
  /** (4 F) by how much a cutter may enter the facet itself, and its three edges, mm */
  readonly allowed: Float64Array;
  /** (F) facets in the order of the leaves */
  readonly order: Int32Array;
  readonly left: Int32Array;
  /** (N + 1 each) the facets of a node: `order[first[i]]` up to, not with, `order[end[i]]` */
  readonly first: Int32Array;
  readonly end: Int32Array;
  /** (5 N) x0, x1, y0, y1, and the highest z */
  readonly boxes: Float64Array;
}

/**
 * Corners (9 F) of a binary STL, mm.
 *
 * @throws {RangeError} if the length is not 84 + 50 n bytes: text STLs are not read here
 */
export function stlCorners(bytes: Uint8Array): Float64Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const count = bytes.length >= 84 ? view.getUint32(80, true) : -1;
  if (bytes.length !== 84 + 50 * count)
    throw new RangeError(`stlCorners: ${bytes.length} bytes, no binary STL`);
  const corners = new Float64Array(9 * count);
  for (let f = 0; f < count; f++) {
    for (let i = 0; i < 9; i++) corners[9 * f + i] = view.getFloat32(84 + 50 * f + 12 + 4 * i, true);
  }
  return corners;
}

/** Unit normals (3 F) by the right-hand rule; 0 where a facet has no area. */
export function unitNormals(corners: Float64Array): Float64Array {
  const normals = new Float64Array(corners.length / 3);
  for (let f = 0; 9 * f < corners.length; f++) {
    const i = 9 * f;
    const ux = corners[i + 3] - corners[i],
      uy = corners[i + 4] - corners[i + 1],
      uz = corners[i + 5] - corners[i + 2];
    const vx = corners[i + 6] - corners[i],
      vy = corners[i + 7] - corners[i + 1],
      vz = corners[i + 8] - corners[i + 2];
    const x = uy * vz - uz * vy,
      y = uz * vx - ux * vz,
      z = ux * vy - uy * vx;
    const length = Math.sqrt(x * x + y * y + z * z);
    if (length > 0) normals.set([x / length, y / length, z / length], 3 * f);
  }
  return normals;
}

/**
 * Builds the tree, halving by the middle of the facets along the longer side in plan.
 *
 * @param corners (9 F) mm, tool axis +Z
 * @param allowed (4 F) mm; absent: the facets are taken at their word
 */
export function buildFacets(
  corners: Float64Array,
  allowed: Float64Array = new Float64Array((4 * corners.length) / 9),
): Facets {
  const count = corners.length / 9;
  const up = unitNormals(corners);
  for (let f = 0; f < count; f++) {
    if (up[3 * f + 2] < 0) for (let i = 0; i < 3; i++) up[3 * f + i] *= -1;
  }
  const nodes = 2 * Math.max(1, count);
  const facets: Facets = {
    corners,
    up,
    allowed,
    order: Int32Array.from({ length: count }, (_, f) => f),
    left: new Int32Array(nodes).fill(-1),
    first: new Int32Array(nodes),
    end: new Int32Array(nodes),
    boxes: new Float64Array(5 * nodes),
  };
  facets.end[0] = count;
  let used = 1;
  for (let node = 0; node < used; node++) {
    measureBox(facets, node);
    if (facets.end[node] - facets.first[node] <= LEAF) continue;
    facets.left[node] = used;
    halve(facets, node, used);
    used += 2;
  }
  return facets;
}

/** Box in plan and highest point of a node's facets. */
function measureBox({ corners, order, first, end, boxes }: Facets, node: number): void {
  let [x0, x1, y0, y1, top] = [Infinity, -Infinity, Infinity, -Infinity, -Infinity];
  for (let k = first[node]; k < end[node]; k++) {
    for (let i = 9 * order[k]; i < 9 * order[k] + 9; i += 3) {
      if (corners[i] < x0) x0 = corners[i];
      if (corners[i] > x1) x1 = corners[i];
      if (corners[i + 1] < y0) y0 = corners[i + 1];
      if (corners[i + 1] > y1) y1 = corners[i + 1];
      if (corners[i + 2] > top) top = corners[i + 2];
    }
  }
  boxes.set([x0, x1, y0, y1, top], 5 * node);
}

/** Gives the node's facets to two children. */
function halve({ corners, order, first, end, boxes }: Facets, node: number, child: number): void {
  const b = 5 * node;
  const along = boxes[b + 1] - boxes[b] >= boxes[b + 3] - boxes[b + 2] ? 0 : 1;
  const middle = (f: number): number =>
    corners[9 * f + along] + corners[9 * f + 3 + along] + corners[9 * f + 6 + along];
  const part = order.subarray(first[node], end[node]);
  part.sort((f, g) => middle(f) - middle(g));
  const half = first[node] + (part.length >> 1);
  first[child] = first[node];
  end[child] = half;
  first[child + 1] = half;
  end[child + 1] = end[node];
}

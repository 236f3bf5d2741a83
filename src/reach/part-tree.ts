/**
 * A part's facets in a bounding volume tree, as flat arrays that threads can share.
 * Coordinates are relative to `centre`: the tree's boxes are float32.
 */
export interface PartTree {
  readonly centre: readonly [number, number, number];
  /**
   * (8 N) tree nodes, parents before children: box minimum, box maximum, link, kind.
   * Read through `links` where a number is not a box.
   */
  readonly boxes: Float32Array;
  /** the same memory as `boxes` */
  readonly links: Uint32Array;
  /**
   * (8 N) for small nodes a round column that holds their facets, open downwards: direction (the mean of
   * their normals), how far along it they extend at most, a point of its middle, its radius, mm from
   * `centre`; zeros for others. A tighter bound than the box where a surface slopes.
   */
  readonly columns: Float32Array;
  /** (9 T) facet corners in the order of the leaves, mm from `centre` */
  readonly corners: Float32Array;
  /**
   * (4 T) unit normal of each facet's plane and its distance from `centre` along it, mm; zeros without area
   */
  readonly planes: Float32Array;
  /** (T) facet of the part */
  readonly facetOf: Int32Array;
}

/** Floats per node. */
export const NODE_STRIDE = 8;
/** Enough for any tree over 2^32 facets: median splits at worst double the depth. */
export const STACK_DEPTH = 256;

export const isLeaf = (links: Uint32Array, node: number): boolean => links[node + 7] >>> 16 === 0xffff;
export const leafCount = (links: Uint32Array, node: number): number => links[node + 7] & 0xffff;
export const leafStart = (links: Uint32Array, node: number): number => links[node + 6];
export const leftChild = (node: number): number => node + NODE_STRIDE;
export const rightChild = (links: Uint32Array, node: number): number => node + NODE_STRIDE * links[node + 6];

/** Float32 rounding of a dot product, relative to the size of its terms. */
export const COLUMN_ROUNDING = 4e-7;

/**
 * Squared distance of a point from the middle line of a node's column; directions in float32 are not quite
 * unit, so by default a little less.
 */
export function beside(
  columns: Float32Array,
  at: number,
  x: number,
  y: number,
  z: number,
  along = 1 + COLUMN_ROUNDING,
): number {
  const dx = x - columns[at + 4],
    dy = y - columns[at + 5],
    dz = z - columns[at + 6];
  const up = columns[at] * dx + columns[at + 1] * dy + columns[at + 2] * dz;
  return dx * dx + dy * dy + dz * dz - along * up * up;
}

import { BufferAttribute, BufferGeometry } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import type { Mesh } from '../mesh/types.js';

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
  /** (9 T) facet corners in the order of the leaves, mm from `centre` */
  readonly corners: Float32Array;
  /** (T) facet of the part */
  readonly facetOf: Int32Array;
  /** (T) how far each facet may stand out of the true surface, mm; see `facetSagittas` */
  readonly sagittas: Float32Array;
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

/**
 * Builds the tree of `mesh`.
 *
 * @param sagittas (F) allowance of each facet, mm
 * @param shared put the arrays into shared memory, for workers; needs `SharedArrayBuffer`
 */
export function buildPartTree(mesh: Mesh, sagittas: Float32Array, shared = false): PartTree {
  const { positions, triangles } = mesh;
  const centre = boxCentre(positions);
  const centred = new Float32Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    for (let k = 0; k < 3; k++) centred[i + k] = positions[i + k] - centre[k];
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(centred, 3));
  geometry.setIndex(new BufferAttribute(triangles, 1));
  // Without `indirect` the builder would reorder the mesh's own facets.
  const bvh = new MeshBVH(geometry, { indirect: true, targetLeafSize: 4, verbose: false, useSharedArrayBuffer: shared });
  const { roots, indirectBuffer } = MeshBVH.serialize(bvh, { cloneBuffers: false });
  if (roots.length !== 1 || !indirectBuffer) throw new RangeError(`buildPartTree: ${roots.length} roots, expected 1`);
  const count = indirectBuffer.length;
  const room = (bytes: number): ArrayBuffer | SharedArrayBuffer => (
    shared ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes)
  );
  const corners = new Float32Array(room(36 * count));
  const facetOf = new Int32Array(room(4 * count));
  const leafSagittas = new Float32Array(room(4 * count));
  for (let t = 0; t < count; t++) {
    const f = indirectBuffer[t];
    facetOf[t] = f;
    leafSagittas[t] = sagittas[f];
    for (let k = 0; k < 3; k++) {
      const v = 3 * triangles[3 * f + k];
      for (let i = 0; i < 3; i++) corners[9 * t + 3 * k + i] = centred[v + i];
    }
  }
  return {
    centre, boxes: new Float32Array(roots[0]), links: new Uint32Array(roots[0]), corners, facetOf, sagittas: leafSagittas,
  };
}

function boxCentre(positions: Float64Array): [number, number, number] {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    low[i % 3] = Math.min(low[i % 3], positions[i]);
    high[i % 3] = Math.max(high[i % 3], positions[i]);
  }
  return [0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1]), 0.5 * (low[2] + high[2])];
}

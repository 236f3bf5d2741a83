import { BufferAttribute, BufferGeometry } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { boundsOf } from '../core/bounds.js';
import type { Mesh } from '../part/types.js';
import {
  beside,
  COLUMN_ROUNDING,
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  rightChild,
  type PartTree,
} from './part-tree.js';

/** Triangles, and what facet of the part each stands for; see `trueFacets`. */
export interface Facets {
  /** (9 T) corners, mm */
  readonly corners: Float64Array;
  /** (T) */
  readonly facetOf: Int32Array;
}

/** A mesh's facets as they are. */
export function meshFacets({ positions, triangles }: Mesh): Facets {
  const corners = new Float64Array(3 * triangles.length);
  triangles.forEach((v, h) => {
    for (let k = 0; k < 3; k++) corners[3 * h + k] = positions[3 * v + k];
  });
  return { corners, facetOf: Int32Array.from({ length: triangles.length / 3 }, (_, f) => f) };
}

/**
 * Builds the tree of facets.
 *
 * @param shared put the arrays into shared memory, for workers; needs `SharedArrayBuffer`
 */
export function buildPartTree(facets: Facets, shared = false): PartTree {
  const centre = boxCentre(facets.corners);
  const centred = new Float32Array(facets.corners.length);
  for (let i = 0; i < centred.length; i++) centred[i] = facets.corners[i] - centre[i % 3];
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(centred, 3));
  // Without `indirect` the builder would reorder the facets.
  const bvh = new MeshBVH(geometry, {
    indirect: true,
    targetLeafSize: 4,
    verbose: false,
    useSharedArrayBuffer: shared,
  });
  const { roots, indirectBuffer } = MeshBVH.serialize(bvh, { cloneBuffers: false });
  if (roots.length !== 1 || !indirectBuffer)
    throw new RangeError(`buildPartTree: ${roots.length} roots, expected 1`);
  const count = indirectBuffer.length;
  const room = (bytes: number): ArrayBuffer | SharedArrayBuffer =>
    shared ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes);
  const corners = new Float32Array(room(36 * count));
  const planes = new Float32Array(room(16 * count));
  const facetOf = new Int32Array(room(4 * count));
  for (let t = 0; t < count; t++) {
    const f = indirectBuffer[t];
    facetOf[t] = facets.facetOf[f];
    for (let i = 0; i < 9; i++) corners[9 * t + i] = centred[9 * f + i];
    writePlane(corners, 9 * t, planes, 4 * t);
  }
  const links = new Uint32Array(roots[0]);
  const columns = new Float32Array(room(links.byteLength));
  writeColumns(links, corners, planes, columns);
  return { centre, boxes: new Float32Array(roots[0]), links, columns, corners, planes, facetOf };
}

/** Nodes with more facets than this get no column: they bend too much for one to help. */
const COLUMN_FACETS = 2048;

function writeColumns(
  links: Uint32Array,
  corners: Float32Array,
  planes: Float32Array,
  columns: Float32Array,
): void {
  /** First facet and end of a node's facets: leaves of a subtree lie side by side. */
  const visit = (node: number): [number, number] => {
    if (isLeaf(links, node)) {
      const start = leafStart(links, node),
        end = start + leafCount(links, node);
      writeColumn(corners, planes, start, end, columns, node);
      return [start, end];
    }
    const [start] = visit(leftChild(node)),
      [, end] = visit(rightChild(links, node));
    if (end - start <= COLUMN_FACETS) writeColumn(corners, planes, start, end, columns, node);
    return [start, end];
  };
  visit(0);
}

function writeColumn(
  corners: Float32Array,
  planes: Float32Array,
  start: number,
  end: number,
  columns: Float32Array,
  at: number,
): void {
  let x = 0,
    y = 0,
    z = 0;
  for (let t = start; t < end; t++) {
    x += planes[4 * t];
    y += planes[4 * t + 1];
    z += planes[4 * t + 2];
  }
  const length = Math.sqrt(x * x + y * y + z * z);
  if (length < 0.5 * (end - start)) return;
  columns[at] = x / length;
  columns[at + 1] = y / length;
  columns[at + 2] = z / length;
  let most = -Infinity,
    size = 0,
    cx = 0,
    cy = 0,
    cz = 0;
  for (let i = 9 * start; i < 9 * end; i += 3) {
    const along =
      columns[at] * corners[i] + columns[at + 1] * corners[i + 1] + columns[at + 2] * corners[i + 2];
    most = Math.max(most, along);
    size = Math.max(size, Math.abs(corners[i]), Math.abs(corners[i + 1]), Math.abs(corners[i + 2]));
    cx += corners[i];
    cy += corners[i + 1];
    cz += corners[i + 2];
  }
  const rounding = COLUMN_ROUNDING * (3 * size + Math.abs(most)),
    scale = 1 / (3 * (end - start));
  columns[at + 3] = most + rounding;
  columns[at + 4] = cx * scale;
  columns[at + 5] = cy * scale;
  columns[at + 6] = cz * scale;
  let widest = 0;
  for (let i = 9 * start; i < 9 * end; i += 3) {
    widest = Math.max(
      widest,
      beside(columns, at, corners[i], corners[i + 1], corners[i + 2], 1 - COLUMN_ROUNDING),
    );
  }
  columns[at + 7] = Math.sqrt(widest) + 2 * rounding;
}

function writePlane(t: Float32Array, o: number, planes: Float32Array, i: number): void {
  const ux = t[o + 3] - t[o],
    uy = t[o + 4] - t[o + 1],
    uz = t[o + 5] - t[o + 2];
  const vx = t[o + 6] - t[o],
    vy = t[o + 7] - t[o + 1],
    vz = t[o + 8] - t[o + 2];
  const nx = uy * vz - uz * vy,
    ny = uz * vx - ux * vz,
    nz = ux * vy - uy * vx;
  const length = Math.sqrt(nx * nx + ny * ny + nz * nz);
  if (!(length > 0)) return;
  planes[i] = nx / length;
  planes[i + 1] = ny / length;
  planes[i + 2] = nz / length;
  planes[i + 3] = (nx * t[o] + ny * t[o + 1] + nz * t[o + 2]) / length;
}

function boxCentre(positions: Float64Array): [number, number, number] {
  const { min, max } = boundsOf(positions);
  return [0.5 * (min[0] + max[0]), 0.5 * (min[1] + max[1]), 0.5 * (min[2] + max[2])];
}

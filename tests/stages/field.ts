import { boundsOf } from '../../src/core/bounds.js';
import { boxAbout, type Allowance, type Block } from '../../src/stages/block.js';
import { stockField, type StockField } from '../../src/stages/stock-field.js';
import * as shapes from '../support/shapes.js';
import { partOf } from '../reach/part.js';

/** Corners as a mesh that shares nothing. */
export const meshBlock = (corners: Float64Array): Block => ({
  kind: 'mesh',
  mesh: { positions: corners, triangles: Uint32Array.from({ length: corners.length / 3 }, (_, v) => v) },
});

/** A box of that size about the origin in plan, its top at z = 0. */
export const plainBox = (x: number, y: number, z: number): Float64Array =>
  shapes.moved(shapes.turned(shapes.box(x, y, z), 0), [-x / 2, -y / 2, -z]);

/** A shape in a block, or in a box with these allowances; cutters up to R 6 have room beside it. */
export function fieldOf(
  corners: Float64Array,
  block: Block | Allowance,
  nodes = 90_000,
  marginMm = 6.7,
): StockField {
  const { mesh } = partOf(corners);
  return stockField({
    mesh,
    block: 'kind' in block ? block : boxAbout(boundsOf(mesh.positions), block),
    nodes,
    marginMm,
    isWork: null,
    where: 'block',
  });
}

export const FLUSH: Allowance = { topMm: 0, sideMm: 0 };

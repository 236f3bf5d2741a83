import { boundsOf, type Bounds } from '../core/bounds.js';
import { PartError } from '../core/errors.js';
import { significant } from '../core/figures.js';
import type { Mesh } from '../part/types.js';
import { nodeAt, topHeights, turnedPositions, type PlanLattice } from './plan-lattice.js';

/** What the part is cut from, upright: a box or a cylinder about it, or a mesh. */
export type Block =
  | { readonly kind: 'box'; readonly bounds: Bounds }
  | {
      readonly kind: 'cylinder';
      readonly centre: readonly [number, number];
      readonly radiusMm: number;
      readonly bottomMm: number;
      readonly topMm: number;
    }
  | { readonly kind: 'mesh'; readonly mesh: Mesh };

/** What stands over a part's bounds and beside them, mm. */
export interface Allowance {
  readonly topMm: number;
  readonly sideMm: number;
}

/** The box round a part: the allowance over it and on each side, none under it. */
export const boxAbout = ({ min, max }: Bounds, { topMm, sideMm }: Allowance): Block => ({
  kind: 'box',
  bounds: {
    min: [min[0] - sideMm, min[1] - sideMm, min[2]],
    max: [max[0] + sideMm, max[1] + sideMm, max[2] + topMm],
  },
});

/** A box of that size, standing on the part's lowest level with the part in the middle of its plan. */
export const boxOfSize = ({ min, max }: Bounds, [x, y, z]: readonly [number, number, number]): Block => ({
  kind: 'box',
  bounds: {
    min: [(min[0] + max[0] - x) / 2, (min[1] + max[1] - y) / 2, min[2]],
    max: [(min[0] + max[0] + x) / 2, (min[1] + max[1] + y) / 2, min[2] + z],
  },
});

/** The upright cylinder about the middle of a part's plan that holds all its points, and the allowance. */
export function cylinderAbout(positions: Float64Array, { topMm, sideMm }: Allowance): Block {
  const { min, max } = boundsOf(positions);
  const [x, y] = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2];
  let most = 0;
  for (let i = 0; i < positions.length; i += 3)
    most = Math.max(most, (positions[i] - x) ** 2 + (positions[i + 1] - y) ** 2);
  return {
    kind: 'cylinder',
    centre: [x, y],
    radiusMm: Math.sqrt(most) + sideMm,
    bottomMm: min[2],
    topMm: max[2] + topMm,
  };
}

export function blockBounds(block: Block): Bounds {
  if (block.kind === 'box') return block.bounds;
  if (block.kind === 'mesh') return boundsOf(block.mesh.positions);
  const {
    centre: [x, y],
    radiusMm: r,
    bottomMm,
    topMm,
  } = block;
  return { min: [x - r, y - r, bottomMm], max: [x + r, y + r, topMm] };
}

/**
 * A node nearer to a block's side than this is beside it, mm: where part and block are flush, rounding would leave
 * slivers between them that a cutter beside the block could cut down to the floor.
 */
const FLUSH_MM = 0.002;

/** Height of the block's top over each node, mm; -Infinity beside it. */
export function blockTops(block: Block, lattice: PlanLattice): Float32Array {
  if (block.kind === 'mesh') return meshTops(block.mesh, lattice);
  const isIn = planTest(block),
    { max } = blockBounds(block);
  return Float32Array.from({ length: lattice.columns * lattice.rows }, (_, node) =>
    isIn(...nodeAt(lattice, node)) ? max[2] : -Infinity,
  );
}

function meshTops(mesh: Mesh, lattice: PlanLattice): Float32Array {
  const turned = { ...mesh, positions: turnedPositions(mesh.positions) };
  const moved = [-FLUSH_MM, FLUSH_MM].flatMap((u) =>
    [-FLUSH_MM, FLUSH_MM].map((v) =>
      topHeights(turned, { ...lattice, u0: lattice.u0 + u, v0: lattice.v0 + v }),
    ),
  );
  return topHeights(turned, lattice).map((top, node) =>
    moved.some((tops) => tops[node] === -Infinity) ? -Infinity : top,
  );
}

function planTest(block: Exclude<Block, { kind: 'mesh' }>): (x: number, y: number) => boolean {
  if (block.kind === 'cylinder') {
    const {
      centre: [cx, cy],
      radiusMm,
    } = block;
    return (x, y) => (x - cx) ** 2 + (y - cy) ** 2 <= (radiusMm - FLUSH_MM) ** 2;
  }
  const low = block.bounds.min.map((mm) => mm + FLUSH_MM),
    high = block.bounds.max.map((mm) => mm - FLUSH_MM);
  return (x, y) => x >= low[0] && x <= high[0] && y >= low[1] && y <= high[1];
}

/** Coordinates of block and part are compared to this, mm: files hold seven digits. */
const SAME_MM = 1e-3;

/** @throws {PartError} `block.small` if the part's bounds reach out of those of the block */
export function checkHolds(block: Block, part: Bounds, where: string): void {
  const own = blockBounds(block);
  const out = [0, 1, 2].map((k) => Math.max(own.min[k] - part.min[k], part.max[k] - own.max[k]));
  const worst = out.indexOf(Math.max(...out));
  if (out[worst] <= SAME_MM) return;
  throw new PartError({
    code: 'block.small',
    where,
    what: `the part reaches ${significant(out[worst], 3)} mm out of it along ${'XYZ'[worst]}`,
    remedy: 'give a larger block, or place both in the same coordinates',
  });
}

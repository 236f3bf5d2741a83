import { boundsOf, type Bounds } from '../core/bounds.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';

/** Square cells over a stretch of the plan. */
export interface PlanCells {
  readonly count: number;
  /** Whether `visit` says so of one of the cells that a box touches, or lies no further from in plan than this, mm. */
  some(box: Bounds, besideMm: number, visit: (cell: number) => boolean): boolean;
}

export function planCells({ min, max }: Bounds, cellMm: number): PlanCells {
  const cell = (i: 0 | 1, at: number): number => Math.floor((at - min[i]) / cellMm);
  const width = cell(0, max[0]) + 1,
    depth = cell(1, max[1]) + 1;
  return {
    count: width * depth,
    some: (box, beside, visit) => {
      const last = Math.min(width - 1, cell(0, box.max[0] + beside)),
        end = Math.min(depth - 1, cell(1, box.max[1] + beside));
      for (let y = Math.max(0, cell(1, box.min[1] - beside)); y <= end; y++)
        for (let x = Math.max(0, cell(0, box.min[0] - beside)); x <= last; x++)
          if (visit(y * width + x)) return true;
      return false;
    },
  };
}

/** Box around facet f of a surface that is being cut. */
export const facetBounds = ({ arrays }: SurfaceBuilder, f: number): Bounds => {
  const { positions, triangles } = arrays();
  return boundsOf(positions, triangles.subarray(3 * f, 3 * f + 3));
};

import type { Context } from '../core/context.js';
import type { Mesh, Topology } from '../part/types.js';
import { blockMaxima, type BlockMaxima } from './grid-queries.js';
import { gridPitch, gridWindow, planBounds } from './grid-window.js';
import { heightGrid } from './height-grid.js';

/** Nodes of the grid that bounds a part's height. */
const NODES = 500_000;

/** Upper bounds of the whole part's height, for what they settle without asking its facets. */
export function heightBounds(
  mesh: Mesh,
  topology: Topology,
  toleranceMm: number,
  context: Context = {},
): BlockMaxima {
  const bounds = planBounds(mesh);
  const window = gridWindow(bounds, gridPitch(bounds, toleranceMm, NODES));
  return blockMaxima(window, heightGrid(mesh, topology, window, context).upper);
}

import { boundsOf } from '../core/bounds.js';
import { cellBounds } from './cell-bounds.js';
import type { Context } from '../core/context.js';
import type { Mesh } from '../part/types.js';
import { blockMaxima, type BlockMaxima } from './grid-queries.js';
import { gridPitch, gridWindow } from './grid-window.js';

/** Nodes of the grid that bounds a part's height. */
const NODES = 500_000;

/** Upper bounds of the whole part's height, for what they settle without asking its facets. */
export function heightBounds(mesh: Mesh, toleranceMm: number, context: Context = {}): BlockMaxima {
  const bounds = boundsOf(mesh.positions);
  const window = gridWindow(bounds, gridPitch(bounds, toleranceMm, NODES));
  return blockMaxima(window, cellBounds(mesh, window, context));
}

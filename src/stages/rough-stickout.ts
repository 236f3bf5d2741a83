import type { Cutter } from '../cutter/catalogue.js';
import { blockMaxima } from '../reach/grid-queries.js';
import { leastStickout, type Stickout } from '../reach/stickout.js';
import type { ClearedStock } from './clear-stock.js';
import type { StockField } from './stock-field.js';

/** Of so many nodes each way only the deepest tip is tried. */
const THIN = 4;

/**
 * How far a rougher must stick out, in the stock as it leaves it: what lies over a slice was taken away by those above.
 * A node's height stands for all of its cell, so a pitch is added to the clearance.
 *
 * @param before (nodes) top of the stock, mm
 */
export function roughStickout(
  { lattice }: StockField,
  before: Float32Array,
  { tips, after }: Pick<ClearedStock, 'tips' | 'after'>,
  cutter: Cutter,
  clearanceMm: number,
): Stickout {
  const { u0, v0, pitchMm, columns, rows } = lattice;
  const deepest = new Map<number, number>();
  tips.forEach((tip, node) => {
    if (tip === Infinity || !(before[node] > after[node])) return;
    const square =
      Math.floor(Math.floor(node / columns) / THIN) * columns + Math.floor((node % columns) / THIN);
    const known = deepest.get(square);
    if (known === undefined || tip < tips[known]) deepest.set(square, node);
  });
  const nodes = [...deepest.values()].sort((a, b) => tips[a] - tips[b] || a - b);
  const window = { originXMm: u0, originYMm: v0, pitchMm, columns, rows };
  return leastStickout(
    cutter,
    blockMaxima(window, Float64Array.from(after)),
    Float64Array.from(
      nodes.flatMap((node) => [
        u0 + (node % columns) * pitchMm,
        v0 + Math.floor(node / columns) * pitchMm,
        tips[node],
      ]),
    ),
    clearanceMm + pitchMm,
  );
}

import type { GridWindow } from './grid-window.js';

/** Maxima of cell heights over blocks of 4^l x 4^l cells, level l = 0 being the cells themselves. */
export interface BlockMaxima {
  readonly window: GridWindow;
  readonly levels: readonly {
    readonly values: Float64Array;
    readonly columns: number;
    readonly rows: number;
  }[];
}

/** Builds the maxima of (columns x rows) upper bounds. */
export function blockMaxima(window: GridWindow, upper: Float64Array): BlockMaxima {
  if (upper.length !== window.columns * window.rows) {
    throw new RangeError(`blockMaxima: ${upper.length} heights, expected ${window.columns * window.rows}`);
  }
  const levels = [{ values: upper, columns: window.columns, rows: window.rows }];
  for (let top = levels[0]; top.values.length > 1; top = levels[levels.length - 1]) {
    const columns = Math.ceil(top.columns / 4),
      rows = Math.ceil(top.rows / 4);
    const values = new Float64Array(columns * rows).fill(-Infinity);
    for (let k = 0; k < top.values.length; k++) {
      const block = (Math.floor(k / top.columns) >> 2) * columns + ((k % top.columns) >> 2);
      if (top.values[k] > values[block]) values[block] = top.values[k];
    }
    levels.push({ values, columns, rows });
  }
  return { window, levels };
}

/**
 * Distance from a point to a block of cells, all in pitches: nodes column * side .. + side - 1, half a pitch
 * around them.
 */
function toBlock(level: number, column: number, row: number, x: number, y: number): number {
  const side = 1 << (2 * level);
  const dx = Math.max(0, column * side - 0.5 - x, x - (column * side + side - 0.5));
  const dy = Math.max(0, row * side - 0.5 - y, y - (row * side + side - 0.5));
  return Math.sqrt(dx * dx + dy * dy);
}

/**
 * Least height, mm, to which the foot of a solid of revolution about +Z must be lifted over a point so that
 * nothing of the part reaches into it: max over cells within `radiusMm` of their upper bound -
 * underside(distance to the cell). An upper bound of the exact answer, since a cell counts as if its highest
 * point were its nearest.
 *
 * @param underside height of the solid's underside above its foot; non-decreasing; asked for 0 to `radiusMm`
 * @param atLeast answers below this are not worked out; it is returned instead
 * @returns `atLeast` where nothing is in the way
 */
export function liftOver(
  maxima: BlockMaxima,
  xMm: number,
  yMm: number,
  radiusMm: number,
  underside: (distanceMm: number) => number,
  atLeast = -Infinity,
): number {
  const { window, levels } = maxima;
  const x = (xMm - window.originXMm) / window.pitchMm,
    y = (yMm - window.originYMm) / window.pitchMm;
  let best = atLeast;
  const visit = (level: number, column: number, row: number): void => {
    const { values, columns } = levels[level];
    const top = values[row * columns + column];
    if (top <= best) return;
    const distance = window.pitchMm * toBlock(level, column, row, x, y);
    if (distance > radiusMm || top - underside(distance) <= best) return;
    if (level === 0) {
      best = top - underside(distance);
      return;
    }
    const below = levels[level - 1];
    for (let j = 4 * row; j < Math.min(4 * row + 4, below.rows); j++) {
      for (let i = 4 * column; i < Math.min(4 * column + 4, below.columns); i++) visit(level - 1, i, j);
    }
  };
  visit(levels.length - 1, 0, 0);
  return best;
}

/**
 * Whether a solid of revolution whose foot stands at that height is free of every cell's upper bound.
 *
 * @param nearX a place whose cell is looked at first: where the solid most likely touches, mm
 */
export function isFree(
  maxima: BlockMaxima,
  xMm: number,
  yMm: number,
  footMm: number,
  radiusMm: number,
  underside: (distanceMm: number) => number,
  nearX: number,
  nearY: number,
): boolean {
  const { window, levels } = maxima;
  const { columns, rows, values } = levels[0];
  const x = (xMm - window.originXMm) / window.pitchMm,
    y = (yMm - window.originYMm) / window.pitchMm;
  const isClear = (level: number, column: number, row: number, top: number): boolean => {
    const distance = window.pitchMm * toBlock(level, column, row, x, y);
    return distance > radiusMm || top - underside(distance) <= footMm;
  };
  const i = Math.round((nearX - window.originXMm) / window.pitchMm),
    j = Math.round((nearY - window.originYMm) / window.pitchMm);
  if (i >= 0 && j >= 0 && i < columns && j < rows && !isClear(0, i, j, values[j * columns + i])) return false;
  const visit = (level: number, column: number, row: number): boolean => {
    const top = levels[level].values[row * levels[level].columns + column];
    if (top <= footMm || isClear(level, column, row, top)) return true;
    if (level === 0) return false;
    const below = levels[level - 1];
    for (let v = 4 * row; v < Math.min(4 * row + 4, below.rows); v++) {
      for (let u = 4 * column; u < Math.min(4 * column + 4, below.columns); u++)
        if (!visit(level - 1, u, v)) return false;
    }
    return true;
  };
  return visit(levels.length - 1, 0, 0);
}

import { longestSide, planBounds } from '../core/bounds.js';
import { pointInRings, squareToSegment, type Rings } from '../outlines/ring-measures.js';

export interface LabelPoint {
  readonly x: number;
  readonly y: number;
  /** Distance to the nearest side, mm. */
  readonly clearanceMm: number;
}

/** Points tried across the larger side of a region. */
const GRID = 24;

/** Places inside a region for a mark, roomiest first: points of a grid over its bounds. */
export function labelPoints(rings: Rings): LabelPoint[] {
  const bounds = planBounds(rings),
    [left, bottom] = bounds.min,
    [right, top] = bounds.max;
  const step = longestSide(bounds) / GRID;
  if (!(step > 0) || !Number.isFinite(step)) return [];
  const found: LabelPoint[] = [];
  for (let y = bottom + step / 2; y < top; y += step) {
    for (let x = left + step / 2; x < right; x += step) {
      if (pointInRings(x, y, rings)) found.push({ x, y, clearanceMm: distanceToRings(x, y, rings) });
    }
  }
  return found.sort((a, b) => b.clearanceMm - a.clearanceMm || a.y - b.y || a.x - b.x);
}

function distanceToRings(x: number, y: number, rings: Rings): number {
  let best = Infinity;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      best = Math.min(best, squareToSegment(x, y, ring[i], ring[i + 1], ring[j], ring[j + 1]));
    }
  }
  return Math.sqrt(best);
}

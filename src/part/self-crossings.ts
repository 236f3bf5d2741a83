import { mostOf } from '../core/bounds.js';
import { facetPairs } from './facet-pairs.js';
import { facetsCross } from './facets-cross.js';
import type { Mesh } from './types.js';

/** Where a surface runs through itself. */
export interface SelfCrossings {
  /** Pairs of facets that cut through each other or overlap in one plane; two numbers to a pair. */
  readonly pairs: readonly number[];
  /** Whether all facets were looked at; else there may be more pairs. */
  readonly isComplete: boolean;
}

/** Steps of single precision, in which most files are written, by which facets may enter each other unnoticed. */
const TOUCH_STEPS = 4;
/** Pairs looked at, for each facet and in any case: a sound mesh has about eight neighbours to a facet to look at. */
const PAIRS_PER_FACET = 40,
  LEAST_PAIRS = 4_000_000;

/**
 * Finds facets that cut through each other, in a time that is bounded by their number.
 *
 * @param mesh positions best near the origin: what counts as touch grows with the largest coordinate
 */
export function selfCrossings(mesh: Mesh): SelfCrossings {
  const size = mostOf(mesh.positions.map(Math.abs));
  const touchMm = TOUCH_STEPS * 2 ** -24 * size;
  const cross = facetsCross(mesh, touchMm);
  const pairs: number[] = [];
  const most = Math.max(LEAST_PAIRS, (PAIRS_PER_FACET * mesh.triangles.length) / 3);
  const isComplete = facetPairs(mesh, touchMm, most, (f, g) => {
    if (cross(f, g)) pairs.push(f, g);
  });
  return { pairs, isComplete };
}

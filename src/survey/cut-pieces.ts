import { MACHINABLE_CLASSES } from '../core/classes.js';
import { cutterShape, type Cutter } from '../cutter/catalogue.js';
import type { Surface } from '../part/types.js';
import type { Setup } from '../resolve-setup.js';
import type { Touched } from '../stages/standing-heights.js';
import type { Left } from '../time/ladder-states.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { cutAfter } from './ladder-times.js';

/** What is left when a cutter begins, and by which. */
export interface Before {
  /** null: all is */
  readonly left: Left | null;
  /** each with whether it reaches a vertex, which of balls the survey tells */
  readonly cutters: readonly { readonly cutter: Cutter; readonly reaches?: (v: number) => boolean }[];
}

/**
 * Where a cutter is after others: the facets that its minutes count, and of them the pieces that those others leave, each
 * taken larger for the blend. Large facets would have it stand where it does not run.
 *
 * @param share (F) of each facet, that it leaves
 */
export function whereCut(
  { labels, surface, reachRadii }: Pick<ReachAnalysis, 'labels' | 'surface' | 'reachRadii'>,
  { blendShare, stockMm }: Pick<Setup, 'blendShare' | 'stockMm'>,
  share: Float64Array,
  { left, cutters }: Before,
): { readonly facets: Uint32Array; readonly touched: Touched } {
  if (left === null) {
    const facets = Uint32Array.from(labels.keys()).filter(
      (f) => labels[f] < MACHINABLE_CLASSES && share[f] < 1,
    );
    return { facets, touched: facetPieces(surface, facets) };
  }
  const isReached = ({ cutter, reaches }: Before['cutters'][number], v: number): boolean =>
    cutterShape(cutter) === 'ball' ? reachRadii[v] >= cutter.RE * (1 + blendShare) + stockMm : !!reaches?.(v);
  const isLeft = (v: number): boolean => !cutters.some((own) => isReached(own, v));
  const { facets } = cutAfter(surface, left, share, () => true);
  return { facets, touched: facetPieces(surface, facets, (f) => left.larger[f], isLeft) };
}

/**
 * Pieces of some facets on the side of the corners that are left: as large as is told, their borders drawn so that both
 * edges are cut alike. Where all corners are left, or none, they do not tell the side: the facet counts as a whole.
 *
 * @param shareOf of a facet, that is left; 1 or more: all
 */
export function facetPieces(
  { mesh: { positions, triangles }, normals }: Pick<Surface, 'mesh' | 'normals'>,
  facets: Iterable<number>,
  shareOf: (f: number) => number = () => 1,
  isLeft: (v: number) => boolean = () => true,
): Touched {
  const corners: number[] = [],
    directions: number[] = [];
  for (const f of facets) {
    const share = shareOf(f),
      left = [0, 1, 2].filter((k) => isLeft(triangles[3 * f + k]));
    const lone = left.length === 1 ? left[0] : [0, 1, 2].findIndex((k) => !left.includes(k));
    /** `s` of the way from corner `k` to corner `l` */
    const place = (k: number, l = k, s = 0): void => {
      const [a, b] = [k, l].map((corner) => 3 * f + (corner % 3));
      for (let i = 0; i < 3; i++) {
        const [from, to] = [positions[3 * triangles[a] + i], positions[3 * triangles[b] + i]];
        corners.push(from + s * (to - from));
        directions.push(normals[3 * a + i] + s * (normals[3 * b + i] - normals[3 * a + i]));
      }
    };
    if (share >= 1 || left.length % 3 === 0) {
      for (let k = 0; k < 3; k++) place(k);
    } else if (left.length === 1) {
      const s = Math.sqrt(share);
      place(lone);
      place(lone, lone + 1, s);
      place(lone, lone + 2, s);
    } else {
      const s = Math.sqrt(1 - share);
      place(lone, lone + 1, s);
      place(lone + 1);
      place(lone + 2);
      place(lone, lone + 1, s);
      place(lone + 2);
      place(lone, lone + 2, s);
    }
  }
  return { corners: Float64Array.from(corners), normals: unit(directions) };
}

/** (3 n) of directions those of length 1. */
function unit(directions: readonly number[]): Float64Array {
  const out = Float64Array.from(directions);
  for (let n = 0; n < out.length; n += 3) {
    const length = Math.sqrt(out[n] ** 2 + out[n + 1] ** 2 + out[n + 2] ** 2) || 1;
    for (let i = 0; i < 3; i++) out[n + i] /= length;
  }
  return out;
}

import type { SurfaceArrays } from '../surface/surface-builder.js';
import { isStraight } from './reach-middles.js';
import { POINT_STRIDE } from './reach-kernels.js';

/**
 * Reach radii of places on a surface. On a crease a place lies on several sides, and counts as reached where one of
 * them is; along the surface of another reach may run to quite another value.
 */
export interface SidedReach {
  /** the greatest of each place, mm; NaN: not known */
  readonly reach: Float64Array;
  /** of places whose sides differ: (4 each) unit normal, and reach radius, mm */
  readonly sides: Map<number, readonly number[]>;
}

/**
 * Takes in the answers about places, those of one place one after the other.
 *
 * @param items (6 N) see `POINT_STRIDE`
 * @param most reach radii above are not told apart, mm
 */
export function takeAnswers(
  { reach, sides }: SidedReach,
  places: Float64Array,
  items: Float64Array,
  answers: Float64Array,
  most: number,
): void {
  for (let i = 0, end = 0; i < places.length; i = end) {
    let least = Infinity,
      greatest = -Infinity;
    for (; end < places.length && places[end] === places[i]; end++) {
      least = Math.min(least, answers[end]);
      greatest = Math.max(greatest, answers[end]);
    }
    reach[places[i]] = greatest;
    if (isStraight(least, greatest, least, most)) continue;
    const own: number[] = [];
    for (let j = i; j < end; j++) {
      for (let k = POINT_STRIDE * j + 3; k < POINT_STRIDE * (j + 1); k++) own.push(items[k]);
      own.push(answers[j]);
    }
    sides.set(places[i], own);
  }
}

/** Reach radius at a facet's corner h, mm, on the facet's side. */
export function reachAtCorner(
  { reach, sides }: SidedReach,
  { triangles, normals }: SurfaceArrays,
  h: number,
): number {
  const v = triangles[h],
    own = sides.get(v);
  return own ? onSide(own, normals[3 * h], normals[3 * h + 1], normals[3 * h + 2]) : reach[v];
}

/** Of several sides the reach radius on that whose normal is nearest. @param sides see `SidedReach` */
function onSide(sides: readonly number[], nx: number, ny: number, nz: number): number {
  let best = -Infinity,
    at = 0;
  for (let i = 0; i < sides.length; i += 4) {
    const along = sides[i] * nx + sides[i + 1] * ny + sides[i + 2] * nz;
    if (along <= best) continue;
    best = along;
    at = i;
  }
  return sides[at + 3];
}

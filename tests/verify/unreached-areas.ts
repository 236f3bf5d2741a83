import type { Facets } from './facets.js';
import { isReached } from './is-reached.js';
import type { Sample } from './sample-points.js';
import { axesNear, wallAxes } from './wall-axes.js';

/** What a sample says of one radius, mm². */
export interface AreaFound {
  readonly areaMm2: number;
  /** half of the 95 % interval of the sampling */
  readonly intervalMm2: number;
  /** in points that the finest cells left open; counted half in `areaMm2` */
  readonly openMm2: number;
}

/**
 * Unreached area for each radius. What a ball reaches every smaller one reaches too, since a smaller cutter
 * stands inside the larger one wherever that one touches; so of ascending radii few are asked at each point.
 *
 * Interval: two neighbours of the list are two draws from one place, and half their squared difference is
 * the variance there (stratified sampling, two to a stratum: Cochran 1977, section 5A; from memory). One is
 * added to the count of differing pairs, so that none seen does not mean none there.
 *
 * @param radiiMm ascending
 */
export function unreachedAreas(
  facets: Facets,
  sample: Sample,
  radiiMm: readonly number[],
  toleranceMm: number,
): AreaFound[] {
  const { areaMm2, points, normals } = sample;
  const count = points.length / 3;
  const axes = radiiMm.map((radius) => wallAxes(sample, radius));
  const unreached = radiiMm.map(() => new Float32Array(count));
  for (let k = 0; k < count; k++) {
    const [p, n] = [points.subarray(3 * k, 3 * k + 3), normals.subarray(3 * k, 3 * k + 3)];
    const known = new Map<number, number>();
    const ask = (i: number): number => {
      const seen = known.get(i);
      if (seen !== undefined) return seen;
      const near = axesNear(axes[i], p[0], p[1], radiiMm[i]);
      const answer = 1 - isReached(facets, p, n, radiiMm[i], toleranceMm, near);
      known.set(i, answer);
      return answer;
    };
    let [low, high] = [0, radiiMm.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (ask(middle) === 1) high = middle;
      else low = middle + 1;
    }
    for (let i = 0; i < radiiMm.length; i++) unreached[i][k] = known.get(i) ?? (i < low ? 0 : 1);
  }
  return unreached.map((values) => found(values, areaMm2));
}

function found(values: Float32Array, areaMm2: number): AreaFound {
  let [sum, open, differing] = [0, 0, 0];
  values.forEach((value, k) => {
    sum += value;
    if (value === 0.5) open++;
    if (k % 2 === 1) differing += (value - values[k - 1]) ** 2;
  });
  const share = areaMm2 / values.length;
  return {
    areaMm2: sum * share,
    intervalMm2: 1.96 * share * Math.sqrt(differing + 1),
    openMm2: open * share,
  };
}

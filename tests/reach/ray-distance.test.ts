import { expect, test } from 'vitest';
import { triangleRayDistance, type RayContact } from '../../src/reach/ray-distance.js';
import { seededRandom } from './random.js';

const found = (t: Float32Array, o: number, [x, y, z]: readonly number[]): RayContact => {
  const out = { squared: NaN, x: NaN, y: NaN, z: NaN };
  triangleRayDistance(t, o, Float64Array.of(x, y, z), out);
  return out;
};

/** Squared distance of a point to the half-line rising from c, by definition. */
const toRay = (q: readonly number[], c: readonly number[]): number =>
  (q[0] - c[0]) ** 2 + (q[1] - c[1]) ** 2 + Math.min(0, q[2] - c[2]) ** 2;

/** Least over a triangle: a dense lattice of it, then twice a finer one about the best point. */
function sampled(t: ArrayLike<number>, c: readonly number[]): number {
  const at = (v: number, w: number): number[] =>
    [0, 1, 2].map((i) => t[i] + v * (t[3 + i] - t[i]) + w * (t[6 + i] - t[i]));
  let best = Infinity,
    bestV = 1 / 3,
    bestW = 1 / 3,
    half = 1;
  for (let round = 0; round < 6; round++) {
    const [v0, w0] = [bestV, bestW];
    for (let i = -24; i <= 24; i++) {
      for (let j = -24; j <= 24; j++) {
        const v = Math.min(1, Math.max(0, v0 + (half * i) / 24)),
          w = Math.min(1 - v, Math.max(0, w0 + (half * j) / 24));
        const squared = toRay(at(v, w), c);
        if (squared < best) [best, bestV, bestW] = [squared, v, w];
      }
    }
    half /= 8;
  }
  return best;
}

const KINDS = ['free', 'upright', 'level', 'needle', 'above', 'below', 'pierced'] as const;

test.each(KINDS)('%s triangles against dense sampling, 150 of them, seed 31', (kind) => {
  const random = seededRandom(31 + KINDS.indexOf(kind));
  const signed = (): number => 8 * (random() - 0.5);
  for (let n = 0; n < 150; n++) {
    const t = Float32Array.from({ length: 9 }, signed);
    const c = [signed(), signed(), signed()];
    if (kind === 'upright') t[7] = t[1] + ((t[4] - t[1]) * (t[6] - t[0])) / (t[3] - t[0]);
    if (kind === 'level') t[2] = t[5] = t[8] = signed();
    if (kind === 'needle') for (let i = 0; i < 3; i++) t[6 + i] = t[3 + i] + 1e-3 * signed();
    if (kind === 'above') c[2] = -9;
    if (kind === 'below') c[2] = 9;
    if (kind === 'pierced') {
      c[0] = (t[0] + t[3] + t[6]) / 3;
      c[1] = (t[1] + t[4] + t[7]) / 3;
    }
    const out = found(t, 0, c);
    const expected = Math.sqrt(sampled(t, c)),
      distance = Math.sqrt(out.squared);
    // Sampling can only miss the least, never pass below it.
    expect(distance, `triangle ${n}: ${[...t]} to ${c}`).toBeLessThanOrEqual(expected + 2e-6);
    expect(distance).toBeGreaterThan(expected - 2e-3);
    expect(Math.sqrt(toRay([out.x, out.y, out.z], c))).toBeCloseTo(distance, 5);
  }
});

test('from any place of the array; a corner, an edge, the inside, by hand', () => {
  const t = Float32Array.from([NaN, NaN, 0, 0, 0, 4, 0, 0, 0, 4, 0]);
  expect(found(t, 2, [-3, 0, 4])).toEqual({ squared: 25, x: 0, y: 0, z: 0 });
  expect(found(t, 2, [2, -3, -1])).toEqual({ squared: 9, x: 2, y: 0, z: 0 });
  expect(found(t, 2, [1, 1, 2])).toEqual({ squared: 4, x: 1, y: 1, z: 0 });
  expect(found(t, 2, [1, 1, -2])).toEqual({ squared: 0, x: 1, y: 1, z: 0 });
});

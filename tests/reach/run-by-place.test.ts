import { expect, test } from 'vitest';
import { runByPlace } from '../../src/reach/run-by-place.js';
import { CROSSING_STRIDE } from '../../src/reach/reach-kernels.js';
import type { ReachAnswers } from '../../src/reach/reach-engine.js';
import { randomNumbers } from '../support/shapes.js';

test('near items follow each other, those of one place in their order, and each gets its own answer (seed 6)', async () => {
  const random = randomNumbers(6),
    edges = 400,
    radii = 3;
  const items = new Float64Array(CROSSING_STRIDE * edges * radii).map(random);
  for (let e = 0; e < edges; e++) {
    // Of one edge one item per radius, largest first; its first end lies in a cube of 1 mm.
    const first = items.subarray(CROSSING_STRIDE * radii * e, CROSSING_STRIDE * radii * e + 3);
    for (let r = 0; r < radii; r++) {
      const o = CROSSING_STRIDE * (radii * e + r);
      items.set(first, o);
      items[o + CROSSING_STRIDE - 1] = radii - 1 - r;
    }
  }
  let apart = 0;
  const engine: ReachAnswers = {
    run: ({ items: asked }) => {
      const count = asked.length / CROSSING_STRIDE;
      for (let i = 0; i < count; i++) {
        const o = CROSSING_STRIDE * i;
        expect(asked[o + CROSSING_STRIDE - 1]).toBe(radii - 1 - (i % radii));
        if (i > 0)
          apart += Math.hypot(...[0, 1, 2].map((k) => asked[o + k] - asked[o - CROSSING_STRIDE + k]));
      }
      return Promise.resolve(Float64Array.from({ length: count }, (_, i) => asked[CROSSING_STRIDE * i + 7]));
    },
  };
  const answers = await runByPlace(engine, {
    kind: 'crossings',
    items,
    radii: new Float64Array(radii),
    accuracyMm: 1,
  });
  expect([...answers]).toEqual([...answers.keys()].map((i) => items[CROSSING_STRIDE * i + 7]));
  // Two random places of a cube of side 1 are 0.6617 apart on average (Robbins 1978); of 400, near ones about 0.1.
  expect(apart / edges).toBeLessThan(0.25);
});

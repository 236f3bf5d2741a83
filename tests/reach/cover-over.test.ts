import { expect, test } from 'vitest';
import { coverOver } from '../../src/reach/cover-over.js';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import * as shapes from '../support/shapes.js';
import { heightOver, partOf } from './part.js';
import { seededRandom } from './random.js';

const coverOf = (corners: Float64Array) => coverOver(buildPartTree(meshFacets(partOf(corners).mesh)));
/** A level plate of two facets, 10 x 10 mm, facing down. */
const plate = (z: number): Float64Array => {
  const at = (x: number, y: number): number[] => [x, y, z];
  return Float64Array.from([at(0, 0), at(0, 10), at(10, 0), at(10, 10), at(10, 0), at(0, 10)].flat());
};
const level = (z: number, ...xy: number[]): Float64Array =>
  Float64Array.from([xy[0], xy[1], z, xy[2], xy[3], z, xy[4], xy[5], z]);

// Plane geometry: the plate's diagonal runs from (0, 10) to (10, 0).
test.each([
  ['under one facet', level(0, 1, 1, 4, 1, 1, 4), 0.01, 'whole'],
  ['under both: no one facet is over all of it', level(0, 3, 3, 8, 3, 3, 8), 0.01, 'some'],
  ['over its rim', level(0, -2, 1, 4, 1, 1, 4), 0.01, 'some'],
  ['beside it', level(0, -5, 1, -1, 1, -4, 4), 0.01, 'none'],
  ['along its rim', level(0, -5, 1, 0, 1, 0, 9), 0.01, 'none'],
  ['above it', level(6, 1, 1, 4, 1, 1, 4), 0.01, 'none'],
  ['below it by less than what counts', level(0, 1, 1, 4, 1, 1, 4), 6, 'none'],
  ['wound the other way', level(0, 1, 1, 1, 4, 4, 1), 0.01, 'whole'],
] as const)('a plate 5 mm up, a triangle %s: %s', (_, triangle, clearMm, expected) => {
  expect(coverOf(plate(5))(triangle, clearMm)).toBe(expected);
});

test.each([
  ['ball', shapes.icosphere(10, 3)],
  ['T-slot', shapes.turned(shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 }), 12)],
  ['bore, far away', shapes.moved(shapes.bore(5, 12, 31, true), [1e4, -7e3, 25])],
] as const)('%s: 300 triangles agree with every facet tried at 40 points of each, seed 5', (_, corners) => {
  const random = seededRandom(5);
  const { mesh } = partOf(corners);
  const { min, max } = shapes.measureSoup(corners);
  const cover = coverOf(corners);
  const seen = { none: 0, some: 0, whole: 0 };
  for (let n = 0; n < 300; n++) {
    const size = 0.3 * 10 ** random();
    const at = [0, 1, 2].map((i) => min[i] - size + (max[i] - min[i]) * random());
    const triangle = Float64Array.from({ length: 9 }, (_, i) => at[i % 3] + size * random());
    const found = cover(triangle, 0.01);
    seen[found]++;
    if (found === 'some') continue;
    for (let p = 0; p < 40; p++) {
      const [v, w] = [random(), random()].map((x, _, [a, b]) => (a + b > 1 ? 1 - x : x));
      // A little inside, so that the sides of facets that only touch do not count.
      const share = [v, w].map((x) => 0.001 + 0.997 * x);
      const [x, y, z] = [0, 1, 2].map(
        (i) =>
          triangle[i] +
          share[0] * (triangle[3 + i] - triangle[i]) +
          share[1] * (triangle[6 + i] - triangle[i]),
      );
      const isOver = heightOver(mesh, x, y) > z + 0.01;
      expect(isOver, `${found} at ${x}, ${y}, ${z}`).toBe(found === 'whole');
    }
  }
  expect(Math.min(seen.none, seen.some, seen.whole)).toBeGreaterThan(5);
});

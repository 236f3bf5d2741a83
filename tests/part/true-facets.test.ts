import { describe, expect, test } from 'vitest';
import { seededRandom } from '../reach/random.js';
import { reachOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { heightBlock } from '../support/shapes/height-block.js';

const HALF_MM = 10;
const CELLS = 8;

/** Lines across a square of 20 mm, none the same distance apart. */
function unevenLines(random: () => number): number[] {
  const steps = Array.from({ length: CELLS }, () => 0.3 + random());
  const total = steps.reduce((sum, step) => sum + step, 0);
  let at = -HALF_MM;
  return [at, ...steps.map((step) => (at += (2 * HALF_MM * step) / total))];
}

// A ball that is smaller than the least radius of curvature of a surface rolls all over it (Blaschke's rolling
// theorem, from memory): here that is 1 / k, 25 mm or more. Where facets of unlike length meet, the normals at the ends
// of a chord lean from it unlike, and cutting facets must not make another surface of them than the points lie on.
describe.each([1, 5, 9, 13])('coarse facets of uneven size (seed %d)', (seed) => {
  const random = seededRandom(seed);
  const xs = unevenLines(random),
    ys = unevenLines(random);
  test.each(
    [0.01, 0.02, 0.03, 0.04].flatMap((k) => [
      ['saddle', k, (x: number, y: number) => k * x * y] as const,
      ['dome', k, (x: number, y: number) => -0.5 * k * (x * x + y * y)] as const,
      ['bowl', k, (x: number, y: number) => 0.5 * k * (x * x + y * y)] as const,
    ]),
  )('%s of curvature %d: a small ball reaches all of it', async (_, __, height) => {
    const corners = heightBlock(xs, ys, (x, y) => 20 + height(x, y));
    const { unreachedMm2 } = await reachOf(shapes.turned(corners, 17), [0.5], 0.005);
    expect(unreachedMm2).toEqual([0]);
  });
});

import { expect, test } from 'vitest';
import { longestEdge, nextToBisect } from '../../src/surface/longest-edge.js';
import { smoothNormals } from '../../src/part/smooth-normals.js';
import { startSurface, type SurfaceBuilder } from '../../src/surface/surface-builder.js';
import * as shapes from '../support/shapes.js';
import { partOf } from '../reach/part.js';

const start = (corners: Float64Array): SurfaceBuilder => {
  const { mesh, topology } = partOf(corners);
  return startSurface(mesh, topology, smoothNormals(mesh, topology));
};

/** Smallest angle of all facets, rad, by the law of cosines. */
function smallestAngle(build: SurfaceBuilder): number {
  const { positions, triangles } = build.arrays();
  let least = Infinity;
  for (let f = 0; f < build.faceCount(); f++) {
    const side = (k: number): number => {
      const a = 3 * triangles[3 * f + k],
        b = 3 * triangles[3 * f + ((k + 1) % 3)];
      return Math.sqrt([0, 1, 2].reduce((sum, i) => sum + (positions[a + i] - positions[b + i]) ** 2, 0));
    };
    const [a, b, c] = [side(0), side(1), side(2)].sort((x, y) => x - y);
    least = Math.min(least, Math.acos(Math.min(1, (b * b + c * c - a * a) / (2 * b * c))));
  }
  return least;
}

test('the longest edge of a 3-4-5 triangle', () => {
  const build = start(Float64Array.from([0, 0, 0, 3, 0, 0, 3, 4, 0]));
  expect(longestEdge(build, 0)).toEqual({ halfEdge: 2, lengthMm: 5 });
  expect(nextToBisect(build, 0)).toBe(2);
});

// Rivara 1997: longest-edge bisection ends, and keeps every angle above half the smallest of the start.
test.each([
  ['box', shapes.turned(shapes.box(3, 5, 7), 17.3), 0.4],
  ['long pocket', shapes.boxPocket({ width: 40, length: 8, depth: 3 }), 1.5],
  ['ball', shapes.icosphere(10, 1), 0.8],
  ['coarse bore', shapes.bore(5, 12, 9), 0.9],
] as const)(
  '%s in pieces: none longer than asked, no angle below half the smallest of the start',
  (_, corners, limit) => {
    const build = start(corners);
    const least = smallestAngle(build);
    for (let f = 0; f < build.faceCount(); f++) {
      while (longestEdge(build, f).lengthMm > limit) build.bisect(nextToBisect(build, f), 0.5);
    }
    for (let f = 0; f < build.faceCount(); f++)
      expect(longestEdge(build, f).lengthMm).toBeLessThanOrEqual(limit);
    expect(smallestAngle(build)).toBeGreaterThan(0.5 * least - 1e-9);
  },
);

test('one facet made fine: the cuts do not run away through the rest', () => {
  const build = start(shapes.icosphere(10, 3));
  const before = build.faceCount();
  for (let i = 0; i < 200 && longestEdge(build, 0).lengthMm > 0.02; i++)
    build.bisect(nextToBisect(build, 0), 0.5);
  expect(longestEdge(build, 0).lengthMm).toBeLessThanOrEqual(0.02);
  expect(build.faceCount() - before).toBeLessThan(400);
});

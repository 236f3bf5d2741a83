import { Vector3 } from 'three';
import { ExtendedTriangle } from 'three-mesh-bvh';
import { describe, expect, test } from 'vitest';
import { facetPairs } from '../../src/part/facet-pairs.js';
import { selfCrossings } from '../../src/part/self-crossings.js';
import type { Mesh } from '../../src/part/types.js';
import { weld } from '../../src/part/weld.js';
import { reversed } from '../support/damage.js';
import * as shapes from '../support/shapes.js';

const meshOf = (corners: Float64Array): Mesh => weld(corners).mesh;
const count = (corners: Float64Array): number => selfCrossings(meshOf(corners)).pairs.length / 2;

/** Facets anywhere in a cube of 10 mm, each of about `size` mm. */
function soup(facets: number, size: number, seed: number): Float64Array {
  const random = shapes.randomNumbers(seed);
  const facet = (): number[] => {
    const at = [0, 1, 2].map(() => 10 * random());
    return [0, 1, 2].flatMap(() => at.map((x) => x + size * (random() - 0.5)));
  };
  return Float64Array.from(Array.from({ length: facets }, facet).flat());
}

/** Pairs by brute force over a library's test of two triangles (three-mesh-bvh). */
function byLibrary(
  { positions, triangles }: Mesh,
  asked = (_f: number, _g: number): boolean => true,
): number {
  const facets = Array.from({ length: triangles.length / 3 }, (_, f) => {
    const corner = (k: number) => new Vector3().fromArray(positions, 3 * triangles[3 * f + k]);
    const one = new ExtendedTriangle(corner(0), corner(1), corner(2));
    one.needsUpdate = true;
    return one;
  });
  let pairs = 0;
  facets.forEach((one, f) => {
    for (let g = f + 1; g < facets.length; g++) if (asked(f, g) && one.intersectsTriangle(facets[g])) pairs++;
  });
  return pairs;
}

describe('facets in general position', () => {
  test.each([
    [40, 12, 1],
    [300, 4, 2],
    [600, 1.5, 3],
    [600, 8, 4],
  ])('%i of %f mm, seed %i: as many pairs as a library finds', (facets, size, seed) => {
    const mesh = meshOf(soup(facets, size, seed));
    const { pairs, isComplete } = selfCrossings(mesh);
    expect(pairs.length / 2).toBe(byLibrary(mesh));
    expect(pairs.length).toBeGreaterThan(0);
    expect(isComplete).toBe(true);
    const keys = new Set(
      Array.from({ length: pairs.length / 2 }, (_, i) => [pairs[2 * i], pairs[2 * i + 1]].sort().join()),
    );
    expect(keys.size).toBe(pairs.length / 2);
  });

  test('two balls through each other (library: no vertex is shared between them)', () => {
    for (const [by, scale] of [
      [3, 1],
      [7, 0.1],
      [9, 25],
    ]) {
      const ball = shapes.icosphere(5, 2);
      const both = shapes.scaled(
        shapes.joined(ball, shapes.moved(shapes.turned(ball, 11), [by, 0.3, 0.7])),
        scale,
      );
      const split = ball.length / 9;
      const mesh = meshOf(both);
      const across = selfCrossings(mesh).pairs.filter(
        (f, i, all) => i % 2 === 0 && f < split !== all[i + 1] < split,
      );
      expect(across.length).toBe(count(both));
      expect(across.length).toBeGreaterThan(10);
      expect(across.length).toBe(byLibrary(mesh, (f, g) => f < split !== g < split));
    }
  });
});

describe('what only touches', () => {
  test.each([
    ['a ball', shapes.icosphere(10, 3)],
    ['a pocket with coplanar facets of all shapes', shapes.roundPocket({ segments: 48, filletFacets: 4 })],
    [
      'the same as single precision keeps it, turned',
      shapes.rounded(shapes.turned(shapes.roundPocket({ segments: 48, filletFacets: 4 }), 33)),
    ],
    [
      'boxes that meet in an edge',
      shapes.joined(shapes.box(3, 3, 3), shapes.moved(shapes.box(3, 3, 3), [3, 3, 0])),
    ],
    [
      'boxes that stand on each other, corner on face',
      shapes.joined(shapes.box(3, 3, 3), shapes.moved(shapes.icosphere(1, 0), [1, 1, 4.5])),
    ],
  ])('%s: nothing', (_, corners) => {
    expect(count(corners)).toBe(0);
  });
});

// Counted by hand: the faces of two boxes, two facets each.
test('facets of one plane that overlap', () => {
  const box = shapes.box(10, 10, 4);
  const beside = shapes.moved(shapes.box(10, 10, 4), [4, 3, 4]);
  // The lid of the lower and the floor of the upper: two facets by two, of which each pair overlaps.
  expect(count(shapes.joined(box, beside))).toBe(4);
});

test('facets that share a vertex or an edge and fold over', () => {
  const flat = Float64Array.of(0, 0, 0, 4, 0, 0, 0, 4, 0, 0, 0, 0, 4, 0, 0, 1, 1, 0);
  expect(count(flat)).toBe(1);
  const through = Float64Array.of(0, 0, 0, 4, 1, -1, 4, 1, 1, 0, 0, 0, 4, 0, 0, 4, 3, 0);
  expect(count(through)).toBe(1);
});

test('order of facets, winding and place do not matter', () => {
  const both = shapes.joined(shapes.icosphere(5, 2), shapes.moved(shapes.icosphere(5, 2), [4, 1, 2]));
  const pairs = count(both);
  expect(pairs).toBeGreaterThan(20);
  expect(count(shapes.permuted(both, 7))).toBe(pairs);
  expect(count(reversed(both))).toBe(pairs);
  expect(count(shapes.moved(both, [100, -50, 20]))).toBe(pairs);
});

test('pairs of boxes: none is missed, none is visited twice, and the work is bounded', () => {
  const mesh = meshOf(soup(500, 1.5, 9));
  const { positions, triangles } = mesh;
  const box = (f: number) =>
    [0, 1, 2].map((k) => {
      const xs = [0, 1, 2].map((c) => positions[3 * triangles[3 * f + c] + k]);
      return [Math.min(...xs), Math.max(...xs)];
    });
  let expected = 0;
  for (let f = 0; f < 500; f++)
    for (let g = 0; g < f; g++) {
      const a = box(f),
        b = box(g);
      if (a.every(([low, high], k) => low <= b[k][1] && b[k][0] <= high)) expected++;
    }
  const seen = new Set<string>();
  let visits = 0;
  const visit = (f: number, g: number): void => {
    visits++;
    seen.add([Math.min(f, g), Math.max(f, g)].join());
  };
  expect(facetPairs(mesh, 1e-5, 1e6, visit)).toBe(true);
  expect([visits, seen.size]).toEqual([expected, expected]);
  visits = 0;
  expect(facetPairs(mesh, 1e-5, 100, visit)).toBe(false);
  expect(visits).toBe(100);
});

import { describe, expect, test } from 'vitest';
import { edgeTable } from '../../src/part/edge-table.js';
import { buildTopology } from '../../src/part/topology.js';
import { weld } from '../../src/part/weld.js';
import * as shapes from '../support/shapes.js';
import { assertValidTopology } from '../support/valid-topology.js';

const soup = (...facets: readonly (readonly number[])[]): Float64Array => Float64Array.from(facets.flat());
const A = [0, 0, 0],
  B = [1, 0, 0],
  C = [0, 1, 0],
  D = [0, 0, 1],
  E = [5, 5, 5];
const facet = (...points: readonly number[][]): number[] => points.flat();
const unweld = (corners: Float64Array): Float64Array => {
  const { mesh } = weld(corners);
  return Float64Array.from(
    [...mesh.triangles].flatMap((v) => [...mesh.positions.subarray(3 * v, 3 * v + 3)]),
  );
};

describe('vertices', () => {
  test.each([1, 2, 3])('equal coordinates, and only those, become one vertex (seed %d)', (seed) => {
    const random = shapes.randomNumbers(seed);
    const corners = Float64Array.from({ length: 9 * 400 }, () => Math.floor(6 * random()) / 3 - 1);
    const { mesh, sourceFace } = weld(corners);
    // Brute force: the coordinates as text, of the facets that stayed.
    const words = [...sourceFace].flatMap((f) =>
      [0, 3, 6].map((k) => [...corners.subarray(9 * f + k, 9 * f + k + 3)].map((x) => x + 0).join()),
    );
    expect(mesh.positions.length / 3).toBe(new Set(words).size);
    mesh.triangles.forEach((v, h) =>
      expect([...mesh.positions.subarray(3 * v, 3 * v + 3)].join()).toBe(words[h]),
    );
    const firstUse = [...new Set(mesh.triangles)];
    expect(firstUse).toHaveLength(mesh.positions.length / 3);
    expect([...sourceFace]).toEqual([...sourceFace].sort((p, q) => p - q));
  });

  test('-0 is 0', () => {
    const { mesh } = weld(soup(facet([0, 0, 0], B, C), facet([-0, -0, 0], [1, -0, 0], D)));
    expect(mesh.positions.length / 3).toBe(4);
    expect([...mesh.positions].every((x) => !Object.is(x, -0))).toBe(true);
  });

  test('the next float64 is another vertex', () => {
    expect(weld(soup(facet(A, B, C), facet(A, [1 + 2 ** -52, 0, 0], D))).mesh.positions.length / 3).toBe(5);
  });

  test('nothing moves and nothing is reordered', () => {
    const corners = shapes.icosphere(10, 2);
    expect(unweld(corners)).toEqual(corners);
  });

  test('refuses what is no list of triangles', () => {
    expect(() => weld(new Float64Array(10))).toThrow(RangeError);
  });
});

describe('degenerate facets', () => {
  test.each<[string, number[]]>([
    ['two equal corners', facet(A, B, B)],
    ['one point', facet(E, E, E)],
    ['corners on a line', facet(A, [1, 2, 3], [2, 4, 6])],
    ['corners on a line but for rounding', facet([0.1, 0.1, 0.1], [0.2, 0.2, 0.2], [0.3, 0.3, 0.3])],
  ])('%s: dropped', (_, bad) => {
    const { mesh, sourceFace, degenerate } = weld(soup(facet(A, B, C), bad, facet(A, C, D)));
    expect([...sourceFace]).toEqual([0, 2]);
    expect(degenerate).toEqual([1]);
    expect(mesh.positions.length / 3).toBe(4);
  });

  test('needles stay', () => {
    const needle = facet([100, 0, 0], [0, 0, 0], [50, Math.fround(1e-5), 0]);
    expect(weld(soup(needle)).degenerate.length).toBe(0);
  });
});

describe('repeated facets', () => {
  test('the first stays, whichever corner a copy begins with', () => {
    const { sourceFace, duplicate } = weld(
      soup(facet(A, B, C), facet(B, C, A), facet(A, C, D), facet(C, A, B)),
    );
    expect([...sourceFace]).toEqual([0, 2]);
    expect(duplicate).toEqual([1, 3]);
  });

  const box = shapes.box(1, 1, 1);
  const reversed = (f: number): number[] =>
    [0, 6, 3].flatMap((k) => [...box.subarray(9 * f + k, 9 * f + k + 3)]);

  test('a facet that is there the wrong way round too does not tear a hole', () => {
    const { mesh, sourceFace, backToBack } = weld(Float64Array.from([...box, ...reversed(4)]));
    expect([...sourceFace]).toEqual([...Array(12).keys()]);
    expect(backToBack).toEqual([12]);
    expect(buildTopology(mesh).open.count).toBe(0);
  });

  test('a wall between two boxes goes', () => {
    // The same box seen in a mirror at x = 1, so that the facets of the shared wall match.
    const mirrored = Float64Array.from([...Array(12).keys()].flatMap(reversed), (x, i) =>
      i % 3 === 0 ? 2 - x : x,
    );
    const { mesh, backToBack } = weld(shapes.joined(box, mirrored));
    const { topology, open, nonManifold } = buildTopology(mesh);
    expect(backToBack.length).toBe(4);
    expect([open.count, nonManifold.count]).toEqual([0, 0]);
    assertValidTopology(mesh, topology);
  });

  test('a fin without thickness goes', () => {
    const fin = [facet(A, E, [9, 9, 0]), facet(A, [9, 9, 0], E)];
    const { sourceFace, backToBack } = weld(Float64Array.from([...box, ...fin.flat()]));
    expect([...sourceFace]).toEqual([...Array(12).keys()]);
    expect(backToBack.length).toBe(2);
  });

  test('a sheet with two faces keeps one', () => {
    const { sourceFace } = weld(soup(facet(A, B, C), facet(A, C, D), facet(A, C, B), facet(A, D, C)));
    expect([...sourceFace]).toEqual([0, 1]);
  });
});

describe('edges and topology', () => {
  test.each([4, 5, 6])('edges as a map of vertex pairs counts them (seed %d)', (seed) => {
    const random = shapes.randomNumbers(seed);
    const triangles = Uint32Array.from({ length: 900 }, () => Math.floor(30 * random()));
    for (let h = 0; h < 900; h += 3)
      triangles.set(
        [
          triangles[h],
          (triangles[h] + 1 + (triangles[h + 1] % 14)) % 30,
          (triangles[h] + 16 + (triangles[h + 2] % 14)) % 30,
        ],
        h,
      );
    const counts = new Map<string, number>();
    const key = (h: number): string =>
      [triangles[h], triangles[h - (h % 3) + ((h + 1) % 3)]].sort((p, q) => p - q).join();
    for (let h = 0; h < 900; h++) counts.set(key(h), (counts.get(key(h)) ?? 0) + 1);
    const { edgeOfHalf, facets, firstHalf } = edgeTable(triangles, 30);
    expect(facets.length).toBe(counts.size);
    for (let h = 0; h < 900; h++) {
      expect(facets[edgeOfHalf[h]]).toBe(counts.get(key(h)));
      expect(key(firstHalf[edgeOfHalf[h]])).toBe(key(h));
    }
  });

  // Euler's formula: V - E + F = 2 - 2 g; a closed mesh has 2 E = 3 F.
  test.each<[string, Float64Array, number]>([
    ['icosphere', shapes.icosphere(5, 3), 2],
    ['pocket', shapes.boxPocket({ width: 30, length: 20, depth: 10 }), 2],
    ['through bore', shapes.bore(5, 12, 24, true), 0],
  ])('%s is closed and has its Euler number', (_, corners, euler) => {
    const { mesh } = weld(corners);
    const { topology, open, nonManifold, flipped } = buildTopology(mesh);
    assertValidTopology(mesh, topology);
    expect([open.count, nonManifold.count, flipped.count]).toEqual([0, 0, 0]);
    expect(mesh.positions.length / 3 - mesh.triangles.length / 6).toBe(euler);
  });

  test('a vertex of very many facets costs no more', () => {
    const n = 60_000;
    const rim = (i: number): number[] => [
      Math.cos((2 * Math.PI * i) / n),
      Math.sin((2 * Math.PI * i) / n),
      0,
    ];
    const rims = Array.from({ length: n }, (_, i) => rim(i));
    const corners = Float64Array.from(rims.flatMap((p, i) => [0, 0, 1, ...p, ...rims[(i + 1) % n]]));
    const start = performance.now();
    const { open } = buildTopology(weld(corners).mesh);
    expect(open).toEqual({ count: n, first: 1 });
    expect(performance.now() - start).toBeLessThan(4000);
  });

  test('three facets on an edge are left apart, and two that run the same way', () => {
    const three = buildTopology(weld(soup(facet(A, B, C), facet(B, A, D), facet(A, B, E))).mesh);
    expect(three.nonManifold).toEqual({ count: 1, first: 0 });
    expect([...three.topology.twin]).toEqual(Array(9).fill(-1));
    const same = buildTopology(weld(soup(facet(A, B, C), facet(A, B, D))).mesh);
    expect(same.flipped).toEqual({ count: 1, first: 3 });
    expect(same.open.count).toBe(4);
    expect([...same.topology.twin]).toEqual(Array(6).fill(-1));
    expect([...same.mate]).toEqual([3, -1, -1, 0, -1, -1]);
  });
});

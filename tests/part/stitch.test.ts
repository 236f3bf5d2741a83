import { describe, expect, test } from 'vitest';
import { pointGrid } from '../../src/part/point-grid.js';
import { snapVertices } from '../../src/part/snap-vertices.js';
import { stitch } from '../../src/part/stitch.js';
import { buildTopology } from '../../src/part/topology.js';
import { weld } from '../../src/part/weld.js';
import * as damage from '../support/damage.js';
import * as shapes from '../support/shapes.js';
import { assertValidTopology } from '../support/valid-topology.js';

const stitched = (corners: Float64Array, toleranceMm = 0.01) => {
  const { mesh } = weld(corners);
  return stitch(mesh, buildTopology(mesh), { toleranceMm });
};
/** Every corner moved on its own, so that each edge is a crack. */
const shaken = (corners: Float64Array, by: number, seed: number): Float64Array => {
  const random = shapes.randomNumbers(seed);
  return corners.map((x) => x + by * (2 * random() - 1));
};

test.each([0.001, 0.004, 0.0099])(
  'neighbours %d mm apart are found across the borders of cells (seed 21)',
  (apart) => {
    const random = shapes.randomNumbers(21);
    const positions = Float64Array.from(
      { length: 3000 },
      () => Math.round((0.08 * (random() - 0.5)) / apart) * apart,
    );
    const all = Uint32Array.from({ length: 1000 }, (_, v) => v);
    const grid = pointGrid(positions, all, 0.01);
    let others = 0;
    for (let u = 0; u < 1000; u += 7) {
      const got = new Set<number>();
      grid.near(positions[3 * u], positions[3 * u + 1], positions[3 * u + 2], (v) => {
        expect(got.has(v)).toBe(false);
        got.add(v);
      });
      others += got.size - 1;
      for (const v of all) {
        const d = [0, 1, 2].map((i) => positions[3 * u + i] - positions[3 * v + i]);
        if (d[0] ** 2 + d[1] ** 2 + d[2] ** 2 <= 1e-4) expect(got.has(v)).toBe(true);
      }
    }
    expect(others).toBeGreaterThan(100);
  },
);

describe('cracks', () => {
  test.each([1, 2, 3])('a box with every facet shaken loose closes again (seed %d)', (seed) => {
    const { mesh, report, snapped, greatestGapMm, parent } = stitched(
      shaken(shapes.box(30, 20, 10), 0.002, seed),
    );
    expect([report.open.count, report.nonManifold.count]).toEqual([0, 0]);
    expect(mesh.positions.length / 3).toBe(8);
    expect(snapped.length).toBe(36 - 8);
    expect(greatestGapMm).toBeLessThan(0.01);
    expect([...parent]).toEqual([...Array(12).keys()]);
    assertValidTopology(mesh, report.topology);
  });

  test.each([1, 2])('a ball shaken loose closes again, far from the origin too (seed %d)', (seed) => {
    for (const by of [0, 1e4]) {
      const ball = shapes.moved(shapes.icosphere(20, 3), [by, -by, by]);
      const { mesh, report } = stitched(shaken(ball, 0.0015, seed));
      expect(report.open.count).toBe(0);
      expect(mesh.positions.length / 3).toBe(642);
    }
  });

  // Other programs count sides of facets that no other facet has, bit for bit (edges mended by nearness).
  test('closed edges are those that only one facet had', () => {
    const ball = shapes.icosphere(20, 2);
    const corners = damage.halved(damage.cracked(ball, [40, 97, 205], 0.004), [12]);
    const sides = new Map<string, number>();
    for (const facet of damage.facetsOf(corners))
      facet.forEach((a, k) => {
        const side = [a.join(), facet[(k + 1) % 3].join()].sort().join(' ');
        sides.set(side, (sides.get(side) ?? 0) + 1);
      });
    const single = [...sides.values()].filter((count) => count === 1).length;
    expect(single).toBe(3 * 4 + 3);
    expect(stitched(corners).closedEdges).toBe(single);
  });

  test('wider ones stay open, and nothing moves', () => {
    const corners = shapes.moved(shapes.box(30, 20, 10), [0.1, 0, 0]);
    corners.subarray(0, 9).forEach((x, i, facet) => (facet[i] = x + (i % 3 === 1 ? -0.02 : 0)));
    const { mesh, report, snapped } = stitched(corners);
    expect(snapped).toEqual([]);
    expect(report.open.count).toBe(6);
    expect(mesh).toEqual(weld(corners).mesh);
  });

  test('a tolerance of 0 does nothing; a negative one is refused', () => {
    const corners = shaken(shapes.box(30, 20, 10), 0.002, 1);
    expect(stitched(corners, 0).mesh).toEqual(weld(corners).mesh);
    expect(() => stitched(corners, -1)).toThrow(RangeError);
    expect(() => stitched(corners, NaN)).toThrow(RangeError);
  });

  test('small details survive a large tolerance', () => {
    const { report } = stitched(shapes.box(0.004, 0.004, 0.004).slice(9), 0.01);
    expect(report.open.count).toBe(3);
    const { mesh } = weld(shapes.box(0.004, 0.004, 0.004).slice(9));
    expect(snapVertices(mesh, buildTopology(mesh), 0.01).snapped.length).toBe(0);
  });

  test('closed meshes are handed through', () => {
    const { mesh } = weld(shapes.icosphere(0.01, 2));
    expect(stitch(mesh, buildTopology(mesh), { toleranceMm: 0.01 }).mesh).toBe(mesh);
  });
});

/** A box whose top is one pair of triangles and whose front reaches the top edge with several vertices. */
function tJunctions(stops: readonly number[], off = 0): Float64Array {
  const box = shapes.box(30, 20, 10);
  const facets = [...Array(12).keys()].map((f) => [...box.subarray(9 * f, 9 * f + 9)]);
  const isFront = (facet: number[]): boolean => [1, 4, 7].every((i) => facet[i] === 0);
  const others = facets.filter((facet) => !isFront(facet));
  const xs = [0, ...stops, 30];
  const top = (x: number): number[] => [x, x === 0 || x === 30 ? 0 : off, 10];
  const front = xs.slice(1).flatMap((x, i) => [0, 0, 0, ...top(x), ...top(xs[i])]);
  return Float64Array.from([...others.flat(), ...front, 0, 0, 0, 30, 0, 0, 30, 0, 10]);
}

describe('T-junctions', () => {
  test.each<[number[], number]>([
    [[12], 0],
    [[7, 8, 22.5], 0],
    [[7, 8, 22.5], 0.004],
    [[2, 7, 8, 15, 22.5, 29], 0],
    [[29.5, 29.6, 29.7, 29.8], 0],
    [[0.2, 0.3, 0.4, 0.5], 0],
  ])('vertices at %j, %d mm off', (stops, off) => {
    const corners = tJunctions(stops, off);
    expect(buildTopology(weld(corners).mesh).open.count).toBe(stops.length + 2);
    const { mesh, report, split, parent, greatestGapMm } = stitched(corners);
    expect(report.open.count).toBe(0);
    expect(split.length).toBe(stops.length);
    expect(greatestGapMm).toBeCloseTo(off, 12);
    assertValidTopology(mesh, report.topology);
    // One facet was split: its pieces stand in its place and remember it.
    const counts = new Map<number, number>();
    parent.forEach((f) => counts.set(f, (counts.get(f) ?? 0) + 1));
    expect([...counts.values()].filter((count) => count > 1)).toEqual([stops.length + 1]);
    expect([...parent]).toEqual([...parent].sort((p, q) => p - q));
    const { volume } = shapes.measureSoup(
      Float64Array.from([...mesh.triangles].flatMap((v) => [...mesh.positions.subarray(3 * v, 3 * v + 3)])),
    );
    expect(volume).toBeCloseTo(6000, off === 0 ? 9 : 0);
  });

  test('further off than the tolerance they stay', () => {
    expect(stitched(tJunctions([7, 8], 0.02)).report.open.count).toBe(4);
  });

  test('cracks and T-junctions together (seed 4)', () => {
    const { report } = stitched(shaken(tJunctions([7, 22.5]), 0.0015, 4));
    expect(report.open.count).toBe(0);
  });
});

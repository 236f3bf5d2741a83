import { describe, expect, test } from 'vitest';
import { orient } from '../../src/part/orient.js';
import { buildTopology } from '../../src/part/topology.js';
import { weld } from '../../src/part/weld.js';
import * as shapes from '../support/shapes.js';

/** The facets for which `pick` is true, the other way round. */
const reversed = (corners: Float64Array, pick: (f: number) => boolean = () => true): Float64Array => {
  const out = corners.slice();
  for (let f = 0; f < corners.length / 9; f++) {
    if (!pick(f)) continue;
    out.set(corners.subarray(9 * f + 3, 9 * f + 6), 9 * f + 6);
    out.set(corners.subarray(9 * f + 6, 9 * f + 9), 9 * f + 3);
  }
  return out;
};
const oriented = (corners: Float64Array) => {
  const { mesh } = weld(corners);
  const result = orient(mesh, buildTopology(mesh));
  const points = Float64Array.from(
    [...result.mesh.triangles].flatMap((v) => [...result.mesh.positions.subarray(3 * v, 3 * v + 3)]),
  );
  return {
    ...result,
    volume: shapes.measureSoup(points).volume,
    flipped: buildTopology(result.mesh).flipped.count,
  };
};

const ball = (radius: number, x = 0, y = 0, z = 0): Float64Array =>
  shapes.moved(shapes.icosphere(radius, 2), [x, y, z]);
const volumeOf = (corners: Float64Array): number => shapes.measureSoup(corners).volume;

describe('one shell', () => {
  test('that is right is handed through', () => {
    const { mesh } = weld(shapes.boxPocket({ width: 30, length: 20, depth: 10 }));
    const result = orient(mesh, buildTopology(mesh));
    expect(result.mesh).toBe(mesh);
    expect(result.turnedFaces).toBe(0);
  });

  test.each([31, 32, 33])('random facets are turned back, and only those (seed %d)', (seed) => {
    const random = shapes.randomNumbers(seed);
    const corners = shapes.sphericalPocket(8, 24);
    const wrong = Array.from({ length: corners.length / 9 }, () => random() < 0.3);
    const { turned, turnedFaces, inconsistent, volume, flipped } = oriented(
      reversed(corners, (f) => wrong[f]),
    );
    expect([...turned].map(Boolean)).toEqual(wrong);
    expect(turnedFaces).toBe(wrong.filter(Boolean).length);
    expect(inconsistent.length).toBe(turnedFaces);
    expect(flipped).toBe(0);
    expect(volume).toBeCloseTo(volumeOf(corners), 8);
  });

  test('inside out is turned as a whole', () => {
    const { insideOut, turnedFaces, volume } = oriented(reversed(shapes.bore(5, 12, 24)));
    expect(insideOut.length).toBe(1);
    expect(turnedFaces).toBe(shapes.bore(5, 12, 24).length / 9);
    expect(volume).toBeCloseTo(volumeOf(shapes.bore(5, 12, 24)), 8);
  });

  test('inside out with a facet missing, far from the origin, is turned too', () => {
    const open = reversed(shapes.moved(shapes.icosphere(10, 2), [-5000, 3000, 0])).slice(9);
    expect(oriented(open).insideOut.length).toBe(1);
  });

  test('facets that hold most of the volume but less of the area are turned back, not the others', () => {
    // Each pair of faces of a box adds a third of the volume; the x pair has 220 of 422.2 mm2.
    const rod = shapes.box(1, 1.1, 100);
    const facesX = (f: number): boolean => rod[9 * f] === rod[9 * f + 3] && rod[9 * f] === rod[9 * f + 6];
    const { turned, insideOut, volume } = oriented(reversed(rod, (f) => !facesX(f)));
    expect(insideOut.length).toBe(0);
    expect([...turned].map(Boolean)).toEqual([...turned.keys()].map((f) => !facesX(f)));
    expect(volume).toBeCloseTo(110, 9);
  });

  test('a flat sheet stays as it is', () => {
    const sheet = Float64Array.of(0, 0, 5, 0, 9, 5, 9, 0, 5);
    expect(oriented(sheet).turnedFaces).toBe(0);
  });

  test('a one-sided band is told (Moebius: five triangles in a ring)', () => {
    const points = [0, 1, 2, 3, 4].map((i) => [Math.cos(i * 1.2566), Math.sin(i * 1.2566), i % 2]);
    const band = Float64Array.from(
      [0, 1, 2, 3, 4].flatMap((i) => [...points[i], ...points[(i + 1) % 5], ...points[(i + 2) % 5]]),
    );
    expect(oriented(band).conflicts.length).toBe(1);
  });
});

describe('several shells', () => {
  const block = ball(20),
    hollow = reversed(ball(8, 3)),
    within = ball(3, 4);
  const whole = volumeOf(block) + volumeOf(hollow) + volumeOf(within);
  const cases: [string, Float64Array[], number, number][] = [
    ['side by side, one inside out', [ball(5), reversed(ball(5, 20))], 1, 2 * volumeOf(ball(5))],
    ['side by side, all inside out', [reversed(ball(5)), reversed(ball(5, 20))], 2, 2 * volumeOf(ball(5))],
    ['a hollow stays a hollow', [block, hollow], 0, volumeOf(block) + volumeOf(hollow)],
    [
      'a block with a hollow, written inside out',
      [reversed(block), reversed(hollow)],
      2,
      volumeOf(block) + volumeOf(hollow),
    ],
    ['a ball in a hollow in a block', [block, hollow, within], 0, whole],
    ['the same inside out', [reversed(block), reversed(hollow), reversed(within)], 3, whole],
    ['the same with only the innermost inside out', [block, hollow, reversed(within)], 1, whole],
    ['bodies within a body stay', [block, ball(8, 3)], 0, volumeOf(block) + volumeOf(ball(8))],
  ];
  test.each(cases)('%s', (_, soups, insideOut, volume) => {
    const orders = [soups, [...soups].reverse()];
    for (const order of orders) {
      const got = oriented(shapes.joined(...order));
      expect(got.shells.count).toBe(soups.length);
      expect(got.insideOut.length).toBe(insideOut);
      expect(got.volume).toBeCloseTo(volume, 6);
    }
  });
});

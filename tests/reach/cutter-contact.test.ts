import { describe, expect, test } from 'vitest';
import { cutterQuery } from '../../src/reach/cutter-contact.js';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  profileHeight,
  taperedBallProfile,
  type CutterProfile,
} from '../../src/cutter/cutter-profile.js';
import { ballQuery } from '../../src/reach/ball-contact.js';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import type { PartTree } from '../../src/reach/part-tree.js';
import { partOf } from './part.js';
import { seededRandom } from './random.js';

const CUTTERS: readonly (readonly [string, CutterProfile])[] = [
  ['ball', ballProfile(3)],
  ['flat', flatProfile(3)],
  ['bull-nose', bullNoseProfile(3, 0.8)],
  ['tapered', taperedBallProfile(4, 1.5, 0.12)],
];

/** Random facets, each with random corners, as a tree without allowances. */
function randomTree(
  seed: number,
  facets: number,
): { readonly tree: PartTree; readonly corners: Float64Array } {
  const next = seededRandom(seed);
  const corners = new Float64Array(9 * facets);
  for (let f = 0; f < facets; f++) {
    const at = [0, 1, 2].map(() => 24 * next() - 12);
    const size = next() < 0.3 ? 1 : 7;
    for (let i = 0; i < 9; i++) corners[9 * f + i] = Math.fround(at[i % 3] + size * (next() - 0.5));
  }
  const { mesh } = partOf(corners);
  return { tree: buildPartTree(meshFacets(mesh)), corners };
}

/**
 * Entry by its definition: the least distance by which a point stays within the cutter's tangent planes, the
 * planes taken at many points of the profile (`profileHeight` has its own tests); the shaft's plane is d = R.
 */
function entryByPlanes(profile: CutterProfile): (x: number, y: number, h: number) => number {
  const planes = [
    [0, 1, 0],
    [1, 0, profile.radiusMm],
  ];
  const steps = 500;
  for (let i = 1; i < steps; i++) {
    // Close to the shaft the profile of a ball turns fast: points crowd there.
    const d = profile.radiusMm * Math.sin((Math.PI / 2) * (i / steps));
    const step = 1e-6 * (profile.radiusMm - d);
    const slope = (profileHeight(profile, d + step) - profileHeight(profile, d - step)) / (2 * step);
    const length = Math.sqrt(1 + slope * slope);
    planes.push([slope / length, 1 / length, (slope * d - profileHeight(profile, d)) / length]);
  }
  return (x, y, h) => {
    const d = Math.sqrt(x * x + y * y);
    return planes.reduce(
      (least, [across, up, bound]) => Math.min(least, bound - across * d + up * h),
      Infinity,
    );
  };
}

const TOP = 0.004;
describe.each(CUTTERS)('%s: deepest entry into random facets, seed 5', (_, profile) => {
  const { tree, corners } = randomTree(5, 60);
  const query = cutterQuery(tree, profile);
  const entry = entryByPlanes(profile);
  const next = seededRandom(77);

  test('is that of dense points on the facets, and its direction leads out', () => {
    for (let trial = 0; trial < 8; trial++) {
      const [x, y, z] = [0, 1, 2].map(() => 20 * next() - 10);
      const contact = query.deepest(x, y, z, 0);
      let most = 0;
      const steps = 12;
      for (let f = 0; f < corners.length; f += 9) {
        for (let i = 0; i <= steps; i++) {
          for (let j = 0; i + j <= steps; j++) {
            const [u, v] = [i / steps, j / steps];
            const q = [0, 1, 2].map(
              (k) => (1 - u - v) * corners[f + k] + u * corners[f + 3 + k] + v * corners[f + 6 + k],
            );
            most = Math.max(most, entry(q[0] - x, q[1] - y, q[2] - z));
          }
        }
      }
      expect(contact.depth).toBeGreaterThan(most - TOP);
      if (contact.depth <= 0) continue;
      const at = entry(contact.x - x, contact.y - y, contact.z - z);
      expect(Math.abs(at - contact.depth)).toBeLessThan(TOP);
      expect(Math.sqrt(contact.mx ** 2 + contact.my ** 2 + contact.mz ** 2)).toBeCloseTo(1, 9);
      const left = entry(
        contact.x - x - contact.push * contact.mx,
        contact.y - y - contact.push * contact.my,
        contact.z - z - contact.push * contact.mz,
      );
      expect(left).toBeLessThan(TOP);
    }
  });

  test('raised by what the plane of a contact asks for, no facet of that contact is entered on that plane', () => {
    const out = new Float64Array(4);
    let seen = 0;
    for (let trial = 0; trial < 40; trial++) {
      const [x, y, z] = [0, 1, 2].map(() => 20 * next() - 10);
      const contact = query.deepest(x, y, z, 0);
      if (contact.depth <= 0 || !query.plane(0, out)) continue;
      const q = [contact.x - x, contact.y - y, contact.z - z].map((a, k) => a - out[3] * out[k]);
      expect(entry(q[0], q[1], q[2])).toBeLessThan(TOP);
      expect(out[3]).toBeGreaterThan(contact.depth - TOP);
      seen++;
    }
    expect(seen).toBeGreaterThan(5);
  });
});

test('a ball enters as the ball query says, which has a closed form of its own, 500 places, seed 9', () => {
  const { tree } = randomTree(9, 200);
  const next = seededRandom(4);
  const query = cutterQuery(tree, ballProfile(2.5)),
    ball = ballQuery(tree);
  for (let trial = 0; trial < 500; trial++) {
    const [x, y, z] = [0, 1, 2].map(() => 22 * next() - 11);
    const depth = query.deepest(x, y, z - 2.5, 0.01).depth;
    expect(Math.abs(depth - ball.deepest(Float64Array.of(x, y, z, 2.5 - 0.01, Infinity)).depth)).toBeLessThan(
      2e-6,
    );
  }
});

test('under a flat end the facets of the highest of many peaks meet, of two as high those of one, seed 3', () => {
  // Upright, across the rim, whose box reaches to the axis: it is looked at first.
  const far = 10 + 39.9 * Math.SQRT2,
    wall = [far, 10, 5, 10, far, 5, far, 10, -5];
  const next = seededRandom(3);
  for (let field = 0; field < 40; field++) {
    const sides = Array.from({ length: 36 }, () => 3 + Math.floor(4 * next())),
      tops = sides.map(() => next());
    const highest = tops.indexOf(Math.max(...tops)),
      twin = (highest + 17) % 36;
    tops[twin] = tops[highest];
    sides[twin] = sides[highest];
    const corners = sides.flatMap((count, peak) =>
      pyramid(4 * (peak % 6), 4 * Math.floor(peak / 6), tops[peak], count),
    );
    const tree = buildPartTree(meshFacets(partOf(Float64Array.from([...wall, ...corners])).mesh));
    const contact = cutterQuery(tree, flatProfile(40)).deepest(10, 10, -0.25, 0);
    expect(contact.depth).toBeCloseTo(tops[highest] + 0.25, 5);
    expect(contact.facets).toBe(sides[highest]);
  }
});

/** Corners of a peak's facets, 5 mm high. */
function pyramid(x: number, y: number, top: number, sides: number): number[] {
  const foot = (i: number): number[] => {
    const turn = (2 * Math.PI * i) / sides;
    return [x + Math.cos(turn), y + Math.sin(turn), top - 5];
  };
  return Array.from({ length: sides }, (_, i) => [...foot(i), ...foot((i + 1) % sides), x, y, top]).flat();
}

test('slack is allowed', () => {
  const corners = Float64Array.of(-20, -20, 0, 20, -20, 0, 0, 20, 0);
  const tree = buildPartTree(meshFacets(partOf(corners).mesh));
  const contact = cutterQuery(tree, flatProfile(3)).deepest(0, 0, -1, 0.125);
  expect(contact.depth).toBeCloseTo(1 - 0.125, 6);
  expect([contact.mx, contact.my, contact.mz]).toEqual([0, 0, 1]);
});

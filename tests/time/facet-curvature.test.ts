import { expect, test } from 'vitest';
import { bend, facetCurvatures } from '../../src/time/facet-curvature.js';
import { asMesh, cylinderStrip, gridPatch, sphereZone, tiltedPlane } from './patches.js';

const rad = (degrees: number) => (degrees * Math.PI) / 180;

test.each([
  [3, 8],
  [3, 64],
  [400, 8],
])('sphere of radius %d, %d facets round: 1/r', (r, n) => {
  const { corners, normals } = sphereZone(r, 10, 80, n, 3);
  const k = facetCurvatures(asMesh(corners), normals);
  for (let f = 0; f < k.length / 6; f++) {
    // The trace is the sum of the principal curvatures.
    expect((k[6 * f] + k[6 * f + 1] + k[6 * f + 2]) * r).toBeCloseTo(2, 9);
  }
});

test.each([
  [false, 1],
  [true, -1],
])('cylinder, hollow %s: sign %d round it, 0 along it', (hollow, sign) => {
  const { corners, normals } = cylinderStrip(5, 20, 80, 30, hollow, 4);
  const k = facetCurvatures(asMesh(corners), normals);
  // Middle of the first facet strip: 27.5 deg.
  const [tx, tz] = [Math.cos(rad(27.5)), -Math.sin(rad(27.5))];
  expect(bend(k, 0, tx, 0, tz, tx, 0, tz)).toBeCloseTo(sign / 5, 9);
  expect(bend(k, 0, 0, 1, 0, 0, 1, 0)).toBeCloseTo(0, 12);
  expect(bend(k, 0, tx, 0, tz, 0, 1, 0)).toBeCloseTo(0, 12);
});

// Saddle z = x y / c at the origin: principal curvatures ±1/c along the diagonals, 0 along x and y (second
// derivatives).
test('saddle: ±1/c along the diagonals', () => {
  const c = 50;
  const patch = gridPatch(
    (u, v) => {
      const [x, y] = [u - 0.5, v - 0.5];
      const length = Math.sqrt(1 + (x * x + y * y) / (c * c));
      return { point: [x, y, (x * y) / c], normal: [-y / c / length, -x / c / length, 1 / length] };
    },
    1,
    1,
  );
  const k = facetCurvatures(asMesh(patch.corners), patch.normals);
  const s = Math.SQRT1_2;
  expect(bend(k, 0, s, s, 0, s, s, 0) * c).toBeCloseTo(-1, 3);
  expect(bend(k, 0, s, -s, 0, s, -s, 0) * c).toBeCloseTo(1, 3);
  expect(bend(k, 0, 1, 0, 0, 1, 0, 0)).toBeCloseTo(0, 5);
  expect(bend(k, 0, 1, 0, 0, 0, 1, 0) * c).toBeCloseTo(-1, 3);
});

test('plane and facets without area: 0', () => {
  const plane = tiltedPlane(4, 5, 33, 12);
  for (const x of facetCurvatures(asMesh(plane.corners), plane.normals)) expect(x).toBeCloseTo(0, 12);
  const line = Float64Array.of(0, 0, 0, 1, 1, 1, 2, 2, 2);
  const fan = Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1);
  expect([...facetCurvatures(asMesh(line), fan)]).toEqual([0, 0, 0, 0, 0, 0]);
  expect(() => facetCurvatures(asMesh(line), new Float64Array(8))).toThrow(RangeError);
});

import { expect, test } from 'vitest';
import { halfSpaces } from '../../src/reach/nearest-in-halfspaces.js';

const { sqrt } = Math,
  T = 0.02;

/** A ball of radius r that touches a floor at the origin, with upright walls at these distances. */
function corner(r: number, ...walls: readonly number[]) {
  const spaces = halfSpaces();
  spaces.add(0, 0, 1, r);
  walls.forEach((distance, i) => spaces.add(i === 0 ? -1 : 0, i === 0 ? 0 : -1, 0, r - distance));
  return spaces;
}

// Derivation: the centre stands r over the floor and r before each wall, so sqrt(r² + Σ(r - d)²) = r + t.
test.each([[1], [0.3], [4]])('floor and one wall at %d: r = d + t + sqrt(2 d t + 2 t²)', (d) => {
  const exact = d + T + sqrt(2 * d * T + 2 * T * T);
  for (const r of [1.01 * exact, 3 * exact]) {
    const spaces = corner(r, d);
    expect(spaces.solve()).toBe(true);
    expect([...spaces.point].map((x) => x + 0)).toEqual([d - r, 0, r]);
    expect(spaces.radiusAt(r, T)).toBeCloseTo(exact, 9);
  }
});

test.each([
  [1, 1],
  [1, 1.05],
  [3, 2.9],
])('floor and two walls at %d and %d: the larger root of 2 r² - 2 r (a + b + t) + a² + b² - t²', (a, b) => {
  const half = a + b + T,
    exact = (half + sqrt(half * half - 2 * (a * a + b * b - T * T))) / 2;
  const spaces = corner(3 * Math.max(a, b), a, b);
  expect(spaces.solve()).toBe(true);
  expect(spaces.radiusAt(3 * Math.max(a, b), T)).toBeCloseTo(exact, 9);
});

// Whatever the angles between the planes: at the radius told, the point that is in all of them stands r + t
// away.
test.each([
  [60, 1, NaN],
  [120, 0.7, NaN],
  [75, 1, 1.02],
  [100, 2, 2],
])('a wall of %d° at %d, another at %d: holds at r + t', (deg, a, b) => {
  const at = (r: number) => {
    const spaces = halfSpaces();
    const sine = Math.sin((deg * Math.PI) / 180),
      cosine = Math.cos((deg * Math.PI) / 180);
    spaces.add(0, 0, 1, r);
    spaces.add(-sine, 0, cosine, r - sine * a);
    if (b > 0) spaces.add(0, -sine, cosine, r - sine * b);
    expect(spaces.solve()).toBe(true);
    return spaces;
  };
  const told = at(6).radiusAt(6, T);
  expect(told).toBeGreaterThan(0);
  const [x, y, z] = at(told).point;
  expect(sqrt(x * x + y * y + z * z)).toBeCloseTo(told + T, 9);
});

test('walls too unlike to hold a ball both at once so near: no radius', () => {
  const spaces = corner(6, 0.5, 2);
  expect(spaces.solve()).toBe(true);
  expect(spaces.radiusAt(6, T)).toBeNaN();
});

test('NaN where one plane alone holds the ball, and where nothing does', () => {
  const alone = corner(2);
  expect(alone.solve()).toBe(true);
  expect(alone.radiusAt(2, T)).toBeNaN();
  const against = halfSpaces();
  against.add(0, 0, 1, 1);
  against.add(0, 0, -1, 1);
  expect(against.solve()).toBe(false);
  expect(against.radiusAt(1, T)).toBeNaN();
});

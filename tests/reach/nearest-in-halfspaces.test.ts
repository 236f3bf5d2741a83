import { expect, test } from 'vitest';
import { halfSpaces } from '../../src/reach/nearest-in-halfspaces.js';
import { seededRandom } from './random.js';

/** A ball of radius r that touches a floor at the origin, with upright walls at these distances. */
function corner(r: number, ...walls: readonly number[]) {
  const spaces = halfSpaces();
  spaces.add(0, 0, 1, r);
  walls.forEach((distance, i) => spaces.add(i === 0 ? -1 : 0, i === 0 ? 0 : -1, 0, r - distance));
  return spaces;
}

// The centre stands r over the floor and r before each wall nearer than r.
test.each([
  [3, 1, 2],
  [6, 0.5, 2],
  [2, 0.3, 5],
])('floor and walls, r %d, at %d and %d: where each is touched', (r, a, b) => {
  const spaces = corner(r, a, b);
  expect(spaces.solve()).toBe(true);
  expect([...spaces.point].map((x) => x + 0)).toEqual([Math.min(0, a - r), Math.min(0, b - r), r]);
});

test('random half-spaces: in all of them, and no nearer point is, on a lattice (seed 3)', () => {
  const random = seededRandom(3);
  for (let n = 0; n < 200; n++) {
    const spaces = halfSpaces();
    const planes = Array.from({ length: 2 + Math.floor(4 * random()) }, () => {
      const [x, y, z] = [random() - 0.5, random() - 0.5, random() - 0.1];
      const length = Math.sqrt(x * x + y * y + z * z);
      return [x / length, y / length, z / length, 2 * random() - 0.5] as const;
    });
    for (const [x, y, z, bound] of planes) spaces.add(x, y, z, bound);
    if (!spaces.solve()) continue;
    const [px, py, pz] = spaces.point,
      distance = Math.sqrt(px * px + py * py + pz * pz);
    for (const [x, y, z, bound] of planes) expect(x * px + y * py + z * pz).toBeGreaterThan(bound - 1e-6);
    for (let k = 0; k < 500 && distance > 0; k++) {
      const at = [0, 0, 0].map(() => (2 * random() - 1) * distance);
      if (at[0] ** 2 + at[1] ** 2 + at[2] ** 2 > (0.999 * distance) ** 2) continue;
      const isIn = planes.every(([x, y, z, bound]) => x * at[0] + y * at[1] + z * at[2] >= bound);
      expect(isIn).toBe(false);
    }
  }
});

test('half-spaces without a point in common', () => {
  const against = halfSpaces();
  against.add(0, 0, 1, 1);
  against.add(0, 0, -1, 1);
  expect(against.solve()).toBe(false);
});

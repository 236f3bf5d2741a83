import { describe, expect, test } from 'vitest';
import { inlineEngine } from '../../src/reach/reach-engine.js';
import { ballProfile } from '../../src/cutter/cutter-profile.js';
import { reachOf, readyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { soupBuilder, type Point } from '../support/shapes/soup.js';

const { PI, abs, cos, sin, sqrt, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;

/** Gap of a ball at one place of a shape, searched for to the end. */
async function gapAt(corners: Float64Array, at: Point, normal: Point, radius: number): Promise<number> {
  const part = readyPart(corners);
  const engine = inlineEngine({ ...part, limits: { toleranceMm: 0.02, slackMm: 0.0002 } });
  const items = Float64Array.from([...at, ...normal]);
  return (await engine.run({ kind: 'gaps', items, profile: ballProfile(radius), enoughMm: 4 * radius }))[0];
}

/**
 * Block with a pit that is an inverted regular tetrahedron, its point at the origin, its opening at height
 * `deep`.
 */
function tetrahedralPit(deep: number): Float64Array {
  const ring = (radius: number, z: number): Point[] =>
    [0, 1, 2].map((k) => [radius * cos(rad(120 * k + 7)), radius * sin(rad(120 * k + 7)), z]);
  // Height of a regular tetrahedron over its circumradius at the base: sqrt 2.
  const opening = ring(deep / sqrt(2), deep),
    outer = ring(deep * 2, deep),
    below = ring(deep * 2, -5),
    point: Point = [0, 0, 0];
  const soup = soupBuilder();
  soup.band(below, outer);
  soup.band(outer, opening);
  soup.band(opening, [point, point, point]);
  soup.polygon([...below].reverse());
  return soup.corners();
}

// Three planes: the ball's centre c solves N c = R (1, 1, 1), N the inward normals; the gap at the vertex is
// |c| - R. Orthogonal (sqrt 3 - 1) R, R 3: 2.196152; walls of 3 degrees draft: 2.020917; regular tetrahedron
// 2 R: 6.
describe('three planes, R 3', () => {
  const { at, floorZ } = shapes.CORNER;
  test.each([
    [0, 2.196152],
    [3, 2.020917],
  ])('draft %d: %d, found beside the vertex', async (draft, printed) => {
    // The drafted walls' centre: z = R, x = y = R (1 - sin d) / cos d.
    const x = (3 * (1 - sin(rad(draft)))) / cos(rad(draft));
    expect(sqrt(9 + 2 * x * x) - 3).toBeCloseTo(printed, 6);
    for (const off of [0.001, 0.3, 1]) {
      const expected = sqrt(9 + 2 * (x - off) ** 2) - 3;
      const gap = await gapAt(shapes.threePlaneCorner(draft), [at + off, at + off, floorZ], [0, 0, 1], 3);
      // Rounding may let the ball in by 0.0002 at each contact.
      expect(abs(gap - expected), `${gap}, expected ${expected}`).toBeLessThan(0.001);
    }
  });

  test("orthogonal, from a wall's side it is the same", async () => {
    const gap = await gapAt(shapes.threePlaneCorner(), [at, at + 0.001, floorZ + 0.001], [1, 0, 0], 3);
    expect(abs(gap - 2.196152)).toBeLessThan(0.003);
  });

  test.each<[string, Float64Array, number]>([
    ['orthogonal', shapes.threePlaneCorner(), 2.196152],
    ['draft 3', shapes.threePlaneCorner(3), 2.020917],
    ['regular tetrahedron', tetrahedralPit(24), 6],
  ])('%s: the survey finds the greatest gap in the vertex', async (_, corners, printed) => {
    const { reach } = await reachOf(corners, [3], 0.02);
    expect(abs((await reach.left()).byRadius[0].maxGapMm - printed)).toBeLessThan(0.015 * printed);
  });
});

// Beside two planes, x from the edge: sqrt((d - x)² + R²) - R, d = R tan(φ / 2); at the edge R 3 leaves
// 1.242641, 0.464102.
test.each([
  [90, 1.242641],
  [60, 0.464102],
  [30, 0.105829],
])('two planes turning %d, R 3: %d at their edge', async (turningDeg, printed) => {
  const half = rad(turningDeg / 2),
    d = 3 * tan(half);
  expect(3 * (1 / cos(half) - 1)).toBeCloseTo(printed, 6);
  const corners = shapes.vGroove({ turningDeg, arm: 14, length: 30 });
  for (const x of [0.001, 0.5 * d, 0.9 * d]) {
    const gap = await gapAt(corners, [x * cos(half), 0, x * sin(half)], [-sin(half), 0, cos(half)], 3);
    expect(abs(gap - (sqrt((d - x) ** 2 + 9) - 3))).toBeLessThan(0.001);
  }
});

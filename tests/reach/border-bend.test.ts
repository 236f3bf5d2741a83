import { expect, test } from 'vitest';
import { borderBend } from '../../src/reach/border-bend.js';
import { edgeKey } from '../../src/surface/edge-key.js';
import type { SurfaceArrays } from '../../src/surface/surface-builder.js';

type Place = readonly [number, number];

const MOST = 12;

/** The bend in one facet, level, of a reach radius that is known everywhere. */
function bendOf(corners: readonly Place[], reachAt: (x: number, y: number) => number): number {
  const arrays = {
    positions: Float64Array.from(corners.flatMap(([x, y]) => [x, y, 0])),
    triangles: Uint32Array.of(0, 1, 2),
    normals: Float64Array.of(0, 0, 1, 0, 0, 1, 0, 0, 1),
  } as unknown as SurfaceArrays;
  const middles = new Map(
    [0, 1, 2].map((k) => {
      const [[x, y], [u, v]] = [corners[k], corners[(k + 1) % 3]];
      return [edgeKey(k, (k + 1) % 3), reachAt((x + u) / 2, (y + v) / 2)];
    }),
  );
  const reach = Float64Array.from(corners, ([x, y]) => reachAt(x, y));
  return borderBend(arrays, 0, { reach, sides: new Map() }, middles, MOST);
}

/** Reach radius at distance x beside an upright wall: x = R - √(2 R t + t²), so (x + t - R)² = 2 R t + 2 t². */
const besideWall = (x: number, t: number): number => x + t + Math.sqrt(2 * t * x + 2 * t * t);

test.each([
  [0.002, 0.4, 3],
  [0.02, 0.4, 3],
  [0.02, 2, 30],
  [0.1, 1, 10],
])(
  'tolerance %d, straight wall, facets from %d mm off, %d mm long: borders are straight lines',
  (t, from, long) => {
    for (const turn of [0, 0.4, 1.1, 2.9]) {
      const [c, s] = [Math.cos(turn), Math.sin(turn)];
      // Along the wall, and from it; then turned about the origin.
      const turned = ([u, x]: Place): Place => [c * u - s * x, s * u + c * x];
      const corners = [
        [0, from],
        [long, 1.3 * from],
        [0.3 * long, 2.5 * from],
      ].map(([u, x]) => turned([u, x]));
      const bend = bendOf(corners, (x, y) => besideWall(c * y - s * x, t));
      // A plane's borders are straight; of what runs across them only the parts above second order are left.
      expect(bend).toBeLessThan(0.02);
    }
  },
);

// A chord of length c of a circle of radius a lies a - sqrt(a² - c²/4) inside it at its middle.
test.each([
  [5, 1],
  [5, 2],
  [20, 2],
  [20, 6],
  [60, 10],
])(
  'borders that are arcs of %d mm about a point, %d mm of one through the facet: off by its sagitta',
  (radius, chord) => {
    const sagitta = radius - Math.sqrt(radius ** 2 - chord ** 2 / 4),
      across = 2 * sagitta,
      angle = 2 * Math.asin(chord / (2 * radius));
    for (const [middling, rise] of [
      [0.5, 0.3],
      [0.5, -0.2],
      [1, 0.5],
    ]) {
      // Inverse reach that is the same all along a circle: one ends in the middle of a side and in the third corner.
      const reachAt = (x: number, y: number): number =>
        1 / (middling + (rise * (Math.hypot(x, y) - radius)) / across);
      const corners: Place[] = [
        [0, radius - across],
        [0, radius + across],
        [radius * Math.sin(angle), radius * Math.cos(angle)],
      ];
      expect(bendOf(corners, reachAt) / sagitta).toBeGreaterThan(0.8);
      expect(bendOf(corners, reachAt) / sagitta).toBeLessThan(1.25);
    }
  },
);

test('what turns back between two corners may be crossed twice: no limit to how far a line may be off', () => {
  const corners: Place[] = [
    [0, 0],
    [2, 0],
    [1, 1],
  ];
  expect(bendOf(corners, (x) => 3 + Math.abs(x - 1))).toBe(Infinity);
  expect(bendOf(corners, (x) => 3 - Math.abs(x - 1))).toBe(Infinity);
});

test('where all reach at least what is told apart, or reach is even, there is no bend', () => {
  const corners: Place[] = [
    [0, 0],
    [2, 0],
    [1, 1],
  ];
  expect(bendOf(corners, (x) => MOST + 3 * Math.abs(x - 1))).toBe(0);
  expect(bendOf(corners, () => 3)).toBe(0);
});

// Other cutters tell only reached or not: how a border runs between the two shows nowhere.
test.each([0.3, 1.9])('reach that leaps from none to all along a line turned %d: not straight', (turn) => {
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const corners: Place[] = [
    [0, 0],
    [4, 0],
    [0, 3],
  ];
  const [mx, my] = [1.2, 1];
  expect(bendOf(corners, (x, y) => (c * (x - mx) + s * (y - my) > 0 ? Infinity : 0))).toBe(Infinity);
});

import { expect, test } from 'vitest';
import { chordErrors } from '../../src/part/chord-errors.js';
import { readyPart, type ReadyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, abs, cos, sqrt } = Math;

/** Distance of a facet's plane from the origin, mm. */
function planeDistance({ mesh: { positions, triangles } }: ReadyPart, f: number): number {
  const [a, b, c] = [0, 1, 2].map((k) => positions.subarray(3 * triangles[3 * f + k]).subarray(0, 3));
  const u = b.map((x, i) => x - a[i]),
    v = c.map((x, i) => x - a[i]);
  const n = [0, 1, 2].map((i) => u[(i + 1) % 3] * v[(i + 2) % 3] - u[(i + 2) % 3] * v[(i + 1) % 3]);
  const length = sqrt(n.reduce((sum, x) => sum + x * x, 0));
  return abs(n.reduce((sum, x, i) => sum + x * a[i], 0)) / length;
}

/** Facets that stand upright and are bent: walls of bores and bosses. */
const upright = ({ mesh, normals }: ReadyPart): number[] =>
  [...Array(mesh.triangles.length / 3).keys()].filter((f) => {
    const n = normals.subarray(9 * f, 9 * f + 9);
    return [2, 5, 8].every((i) => abs(n[i]) < 1e-6) && abs(n[0] - n[3]) + abs(n[0] - n[6]) > 1e-6;
  });

// The middle of a chord of 1 / n of a circle stands R (1 - cos(π / n)) off it: plane geometry.
test.each(
  [
    [0.8, 12],
    [0.8, 24],
    [5, 16],
    [5, 96],
    [40, 24],
    [40, 200],
  ].flatMap(([radius, n]) => ['bore', 'boss'].map((kind) => [kind, radius, n] as const)),
)('wall of a %s of radius %d in %d chords: R (1 - cos(π / n))', (kind, radius, n) => {
  const side = 4 * radius;
  const part = readyPart(
    shapes.turned(
      kind === 'bore'
        ? shapes.bore(radius, 7, n, true)
        : shapes.frustumOnPlate({ baseRadius: radius, topRadius: radius, height: 7, side, segments: n }),
      11.3,
    ),
  );
  const errors = chordErrors(part.smooth),
    walls = upright(part);
  expect(walls).toHaveLength(2 * n);
  const expected = radius * (1 - cos(PI / n));
  for (const f of walls) expect(abs(errors[f] / expected - 1)).toBeLessThan(0.02);
});

// The plane of a facet whose corners lie on a sphere passes the centre at d; what is furthest from it, inside the
// facet, is R - d off the sphere. Normals at the corners are means of facets that are not quite alike.
test.each([3, 20].flatMap((radius) => [2, 3, 4].map((subdivisions) => [radius, subdivisions] as const)))(
  'sphere of radius %d, %d subdivisions: R less the distance of the plane',
  (radius, subdivisions) => {
    const corners = shapes.icosphere(radius, subdivisions);
    const part = readyPart(corners);
    const errors = chordErrors(part.smooth);
    expect(errors).toHaveLength(20 * 4 ** subdivisions);
    errors.forEach((error, f) => {
      expect(abs(error / (radius - planeDistance(part, f)) - 1)).toBeLessThan(0.05);
    });
  },
);

test.each([
  ['box', shapes.box(30, 20, 10)],
  ['groove', shapes.vGroove({ turningDeg: 60, arm: 10, length: 8 })],
  ['ramps', shapes.multiRamp()],
  ['pocket', shapes.boxPocket({ width: 30, length: 20, depth: 10 })],
])('planes only, %s: none', (_, corners) => {
  expect(Math.max(...chordErrors(readyPart(shapes.turned(corners, 31.9)).smooth))).toBeLessThan(1e-9);
});

import { describe, expect, test } from 'vitest';
import { chordErrors } from '../../src/part/chord-errors.js';
import { readyPart, type ReadyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, abs, cos, max, round, sin, sqrt } = Math;

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

// The rounded mouth of a pocket bends across its straight sides and not along them, however it goes on round the
// corners: the quads of those are torus and not quite level once coordinates are rounded, as in a text of three
// decimals. All chords are of a circle of the rounding's radius, or of its corners' smaller turns. What is left
// below a tenth of the tolerance is not looked at.
describe.each([0, 0.0003, 0.0006, 0.001])(
  'pocket with a rounded mouth, coordinates in steps of %d mm',
  (step) => {
    test.each([0.5, 1, 3].flatMap((radius) => [6, 12, 18].map((facets) => [radius, facets] as const)))(
      'rounding %d in %d facets: no chord misses it by more than R (1 - cos(π / 4 n))',
      (radius, facets) => {
        const rings = Array.from({ length: facets + 1 }, (_, k) => {
          const inwards = radius * (1 - sin((k * PI) / 2 / facets)),
            half = 8 + inwards;
          return {
            halfX: half,
            halfY: half,
            radius: 2 + inwards,
            z: -radius * (1 - cos((k * PI) / 2 / facets)),
          };
        });
        const tile = 2 * (8 + radius) + 8;
        const corners = shapes.pocketPlate({
          tileX: tile,
          tileY: tile,
          bottomZ: -radius - 8,
          tiles: [
            [
              {
                rings: [...rings, { ...rings[facets], z: -radius - 4 }],
                facets: round((facets * (1 + 2 / radius)) / 2),
              },
            ],
          ],
        });
        const rounded = step > 0 ? corners.map((x) => step * round(x / step)) : corners;
        const errors = chordErrors(readyPart(rounded).smooth);
        const chord = radius * (1 - cos(PI / 4 / facets));
        expect(max(...errors)).toBeLessThan(max(0.002, 1.1 * chord) + 0.5 * step);
      },
    );
  },
);

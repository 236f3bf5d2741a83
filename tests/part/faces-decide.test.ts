import { describe, expect, test } from 'vitest';
import { chordErrors } from '../../src/part/chord-errors.js';
import { normalsToCreases } from '../../src/part/normals-to-creases.js';
import { smoothNormals } from '../../src/part/smooth-normals.js';
import { buildTopology } from '../../src/part/topology.js';

type Point = readonly [number, number, number];
const { cos, max, PI, sin } = Math;

/** Facets by their corners, points at one place being one vertex, and what their chords miss. */
function told(facets: readonly (readonly [Point, Point, Point])[]) {
  const numbers = new Map<string, number>();
  const numberOf = (point: Point): number => {
    const key = point.join();
    const known = numbers.get(key) ?? numbers.size;
    numbers.set(key, known);
    return known;
  };
  const triangles = Uint32Array.from(facets.flat().map(numberOf));
  const positions = Float64Array.from([...numbers.keys()].flatMap((key) => key.split(',').map(Number)));
  const mesh = { positions, triangles };
  const { topology } = buildTopology(mesh);
  const normals = normalsToCreases(mesh, topology, smoothNormals(mesh, topology));
  return { normals, errors: chordErrors({ mesh, normals, twin: topology.twin }) };
}

/** An upright wall along points in plan, the solid on its right; two facets for each stretch. */
const wall = (plan: readonly (readonly [number, number])[], low: number, high: number) =>
  plan.slice(1).flatMap(([x, y], i): [Point, Point, Point][] => {
    const [u, v] = plan[i];
    return [
      [
        [u, v, low],
        [x, y, high],
        [x, y, low],
      ],
      [
        [u, v, low],
        [u, v, high],
        [x, y, high],
      ],
    ];
  });

// The straight of a pocket's wall, 0 off any plane by definition, runs into roundings that begin with a sliver, as offset
// outlines on a grid leave: its direction is chance.
describe.each([12, 30, 72])('straight of %d mm', (length) => {
  test.each([
    [2, 6, 0.005, 0.7],
    [6, 12, 0.005, 0.7],
    [6, 12, 0.02, 0.5],
    [8, 18, 0.003, 0.8],
  ])('roundings of %d mm in %d facets, slivers of %d mm at %d of their bend', (r, n, sliver, share) => {
    const step = PI / 2 / n,
      turned = (share * step) / 2;
    const end = Array.from({ length: n }, (_, k): [number, number] => [
      length / 2 + r * sin((k + 1) * step),
      r * (1 - cos((k + 1) * step)),
    ]);
    const half = [
      [length / 2, 0] as const,
      [length / 2 + sliver * cos(turned), sliver * sin(turned)] as const,
      ...end,
    ];
    const { errors } = told(
      wall([...half.map(([x, y]) => [-x, y] as const).toReversed(), ...half].toReversed(), 0, 8),
    );
    const straight = 2 * (n + 1);
    expect(max(...errors.slice(straight, straight + 2))).toBeLessThan(1e-9);
    // The roundings miss by what an arc's chord does: R (1 - cos(step / 2)).
    expect(max(...errors)).toBeGreaterThan(0.5 * r * (1 - cos(step / 2)));
    expect(max(...errors)).toBeLessThan(2 * r * (1 - cos(step / 2)));
  });
});

// A rib's end flush with a lower wall: at the foot of the rib's rounding the plane goes on beside and below, in facets
// that have no vertex near the direction away from the rounding.
test.each([
  [0.4, 4, 17],
  [0.6, 4, 40],
  [1.5, 6, 9],
])('a rounding of %d mm in %d facets on a plane that is wider below, %d mm', (r, n, length) => {
  const step = PI / 2 / n,
    rise = 6;
  // A narrow facet first, turned as far as the first of the rounding is.
  const narrow = 0.1 * r * step;
  const arc = [
    [0, 0] as const,
    ...Array.from({ length: n + 1 }, (_, k) => {
      const turned = k * step;
      return [
        narrow * cos(step / 2) + r * sin(turned),
        -narrow * sin(step / 2) - r * (1 - cos(turned)),
      ] as const;
    }),
  ];
  const foot: Point = [0, 0, 0],
    top: Point = [0, 0, rise],
    below: Point = [0, 0, -5.5],
    beside: Point = [-0.1, 0, -10],
    far: Point = [length, 0, 0];
  const plane: [Point, Point, Point][] = [
    [foot, below, beside],
    [foot, beside, top],
    [foot, far, below],
  ];
  const ledge = arc.slice(1).map(([x, y], k): [Point, Point, Point] => [[...arc[k], 0], [x, y, 0], far]);
  const { normals, errors } = told([...plane, ...wall(arc, 0, rise), ...ledge]);
  for (const h of [0, 3, 6])
    expect([...normals.subarray(3 * h, 3 * h + 3)].map((x) => Math.round(1e6 * x) + 0)).toEqual([0, 1e6, 0]);
  expect(max(...errors.slice(0, 3))).toBeLessThan(1e-9);
});

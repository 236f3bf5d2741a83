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

type Plan = readonly (readonly [number, number])[];

/** A wall between points in plan at its foot and at its top, the solid on its right; no facets where two are one. */
const ruled = (feet: Plan, tops: Plan, low: number, high: number) =>
  feet.slice(1).flatMap(([x, y], i): [Point, Point, Point][] => {
    const foot: Point = [...feet[i], low],
      top: Point = [...tops[i], high],
      nextFoot: Point = [x, y, low],
      nextTop: Point = [...tops[i + 1], high];
    const facets: [Point, Point, Point][] = [
      [foot, nextTop, nextFoot],
      [foot, top, nextTop],
    ];
    return facets.filter((facet) => new Set(facet.map((point) => point.join())).size === 3);
  });
/** Points from the middle of a straight on, and their mirror images before them, as a wall round a pocket has them. */
const mirrored = (half: Plan): Plan =>
  [...half.map(([x, y]) => [-x, y] as const).toReversed(), ...half].toReversed();
/** Points of a quarter turn, from the end of a straight in `y = 0` on, at a radius less `inwards`. */
const corner = (endX: number, radius: number, n: number, inwards = 0): Plan =>
  Array.from({ length: n + 1 }, (_, k) => {
    const turned = ((k / n) * PI) / 2;
    return [endX + (radius - inwards) * sin(turned), radius - (radius - inwards) * cos(turned)];
  });
/** Strips of a fillet below a wall, in m rows, each along the plan that lies so far inwards. */
const fillet = (planOf: (inwards: number) => Plan, r: number, m: number) => {
  const rows = Array.from({ length: m + 1 }, (_, j) => {
    const angle = ((j / m) * PI) / 2;
    return { plan: planOf(r * (1 - cos(angle))), z: -r * sin(angle) };
  });
  return rows.slice(1).map(({ plan, z }, j) => ruled(plan, rows[j].plan, z, rows[j].z));
};
const wall = (plan: Plan, low: number, high: number) => ruled(plan, plan, low, high);

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
    const [end, ...turn] = corner(length / 2, r, n);
    const half = [end, [length / 2 + sliver * cos(turned), sliver * sin(turned)] as const, ...turn];
    const { errors } = told(wall(mirrored(half), 0, 8));
    const straight = 2 * (n + 1);
    expect(max(...errors.slice(straight, straight + 2))).toBeLessThan(1e-9);
    // The roundings miss by what an arc's chord does: R (1 - cos(step / 2)).
    expect(max(...errors)).toBeGreaterThan(0.5 * r * (1 - cos(step / 2)));
    expect(max(...errors)).toBeLessThan(2 * r * (1 - cos(step / 2)));
  });
});

// As above, but slivers end in a point at the foot, where the straight and the rounding's first facet meet.
test.each([
  [12, 2, 6],
  [30, 6, 12],
  [72, 4, 8],
])('straight of %d mm, roundings of %d mm in %d facets, slivers that end in a point', (length, r, n) => {
  const step = PI / 2 / n,
    turned = 0.35 * step;
  const [end, ...turn] = corner(length / 2, r, n);
  const rounding = (first: number): Plan =>
    mirrored([end, [length / 2 + first * cos(turned), first * sin(turned)], ...turn]);
  const { errors } = told(ruled(rounding(0), rounding(0.005), 0, 8));
  // Facets of one sliver less than two a stretch.
  const straight = 2 * n + 1;
  expect(max(...errors.slice(straight, straight + 2))).toBeLessThan(1e-9);
  expect(max(...errors)).toBeLessThan(2 * r * (1 - cos(step / 2)));
});

// Drafted, with corners that are narrower at the foot, where a fillet begins: the corner's first facet ends in a point at
// the straight's, and runs flat into facets of the fillet as small.
test.each([
  [64, 6, 2, 12, 2, 12],
  [30, 8, 3, 12, 2, 8],
  [40, 5, 1.5, 8, 1, 8],
])(
  'straight of %d mm, drafted, corners of %d to %d mm in %d facets, fillet of %d mm in %d',
  (length, top, foot, n, r, m) => {
    const step = PI / 2 / n,
      height = 8,
      lean = height * Math.tan(PI / 180);
    // Each point of the foot meets two of the top, and each of the top two of the foot.
    const sliver = [length / 2 + 0.005 * cos(0.35 * step), 0.005 * sin(0.35 * step)] as const;
    const tops = corner(length / 2, top, n).flatMap(
      (point, k): Plan => (k === 0 ? [point, sliver] : [point, point]),
    );
    const feetOf = (inwards: number): Plan => {
      const points = corner(length / 2 + top - foot, foot, n, inwards).map(
        ([x, y]) => [x, y + lean] as const,
      );
      return mirrored(
        points.flatMap((point, k) => (k === 0 ? [point, point, point] : k === n ? [point] : [point, point])),
      );
    };
    const walls = ruled(feetOf(0), mirrored(tops), 0, height);
    const { errors } = told([...walls, ...fillet(feetOf, r, m).flat()]);
    const straight = walls
      .map((facet, f) => ({ f, widthMm: max(...facet.map(([x]) => x)) - Math.min(...facet.map(([x]) => x)) }))
      .filter(({ widthMm }) => widthMm > 0.9 * length);
    expect(straight).toHaveLength(2);
    expect(max(...straight.map(({ f }) => errors[f]))).toBeLessThan(1e-9);
  },
);

// Along the straight of a fillet nothing bends, across it chords miss by r (1 - cos(step / 2)); in the corners they miss
// no more than those of the wall and of the fillet together.
test.each([
  [8, 9, 12, 1, 7],
  [5, 6, 9, 2, 12],
  [20, 4, 6, 0.5, 4],
])('fillet: straights of %d mm, corners of %d mm in %d facets, %d mm in %d facets', (length, R, n, r, m) => {
  const planOf = (inwards: number): Plan => mirrored(corner(length / 2, R, n, inwards));
  const strips = fillet(planOf, r, m);
  const { errors } = told([...wall(planOf(0), 0, 6), ...strips.flat()]);
  const across = r * (1 - cos(PI / 4 / m)),
    around = R * (1 - cos(PI / 4 / n));
  const perStrip = 2 * (2 * n + 1);
  const onStraights = strips.flatMap((_, j) => {
    const at = (j + 1) * perStrip + 2 * n;
    return [...errors.slice(at, at + 2)];
  });
  expect(onStraights).toHaveLength(2 * m);
  expect(max(...onStraights)).toBeLessThan(1.1 * across);
  expect(max(...errors)).toBeLessThan(1.5 * (across + around));
});

// A rib's end flush with a lower wall: at the foot of the rib's rounding the plane goes on beside and below, in facets
// that have no vertex near the direction away from the rounding.
describe.each([1, -1])('towards x times %d', (hand) => {
  test.each([
    [0.4, 4, 17, 0.1, 10],
    [0.6, 4, 40, 0.1, 10],
    [1.5, 6, 9, 0.3, 8],
    [0.6, 4, 20, 4, 5],
  ])(
    'a rounding of %d mm in %d facets on a plane that is wider below, %d mm, and beside, %d, %d',
    (r, n, length, aside, down) => {
      const step = PI / 2 / n,
        rise = 6;
      // A narrow facet first, turned as far as the first of the rounding is.
      const narrow = 0.1 * r * step;
      const arc: Plan = [
        [0, 0],
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
        below: Point = [0.1 * length, 0, -5.5],
        beside: Point = [-aside, 0, -down],
        far: Point = [length, 0, 0];
      const plane: [Point, Point, Point][] = [
        [foot, below, beside],
        [foot, beside, top],
        [foot, far, below],
      ];
      const ledge = arc.slice(1).map(([x, y], k): [Point, Point, Point] => [[...arc[k], 0], [x, y, 0], far]);
      const placed = ([x, y, z]: Point): Point => [hand * x, y, z];
      const { normals, errors } = told(
        [...plane, ...wall(arc, 0, rise), ...ledge].map(([a, b, c]) =>
          hand > 0 ? [a, b, c] : [placed(a), placed(c), placed(b)],
        ),
      );
      for (const h of [0, 3, 6])
        expect([...normals.subarray(3 * h, 3 * h + 3)].map((x) => Math.round(1e6 * x) + 0)).toEqual([
          0, 1e6, 0,
        ]);
      expect(max(...errors.slice(0, 3))).toBeLessThan(1e-9);
    },
  );
});

// A narrow facet that can be seen is no sliver: where it belongs to a surface that bends on, a wide face beside it does not
// make it its own; nor does the face lean with it, which would miss a curve by far more than facets do.
test.each([0.1, 0.4, 1])('a facet of %d mm beside a face of 20 mm leans as its neighbours do', (width) => {
  const leans = [0, 0.55, 0.85, 1.15],
    profile: [number, number][] = [[0, 0]];
  for (const [i, lean] of leans.entries()) {
    const [x, y] = profile[i],
      long = i === 0 ? 20 : width;
    profile.push([x + long * cos(lean), y - long * sin(lean)]);
  }
  const { normals } = told(wall(profile, 0, 120));
  const [x, y] = [0, 1].map((i) => normals[9 * 2 + i]);
  expect(Math.atan2(x, y)).toBeGreaterThan(0.5 * leans[1]);
  for (let y = 1; y < 18; y += 3) expect(normals[y]).toBeCloseTo(1, 9);
});

// Two cones that meet at a ring, and a level top, are faces of their own, however like the bends there are to those of
// their facets. Vertices lie on the cone, whose normal has the cosine of the slope for a height; a facet over 2 π / n is as
// steep as tan(slope) / cos(π / n), (π / n)² / 4 off at most, and normals at its corners are told from a few of them.
describe.each([
  [85, 70, 3],
  [75, 55, 3],
  [60, 40, 3],
  [70, 85, 3],
  [55, 75, 3],
  [60, 40, 8],
  [45, 33, 8],
  [30, 12, 8],
])('cones of %d and %d degrees, each %d mm high, with a level top', (low, high, height) => {
  test.each(
    [24, 36, 72].flatMap((n) => [1, -1].flatMap((side) => [3, 8, 20].map((r) => [n, side, r] as const))),
  )('in %d facets, solid inside or out (%d), the top of %d mm', (n, side, radius) => {
    const [first, second] = [low, high].map((deg) => height / Math.tan((deg * PI) / 180));
    const rings: Plan[] = [radius + first + second, radius + second, radius, 0].map((r) =>
      Array.from({ length: n + 1 }, (_, k) => {
        const angle = (side * 2 * PI * (k % n)) / n + 0.1;
        return [Math.fround(r * cos(angle)), Math.fround(r * sin(angle))];
      }),
    );
    const heights = [0, height, 2 * height, 2 * height];
    const { normals } = told(
      [0, 1, 2].flatMap((i) => ruled(rings[i], rings[i + 1], heights[i], heights[i + 1])),
    );
    [low, high, 0].forEach((deg, i) => {
      const corners = normals.subarray(18 * n * i, 18 * n * (i + 1));
      for (let z = 2; z < corners.length; z += 3)
        expect(Math.abs(Math.acos(-side * corners[z]) - (deg * PI) / 180)).toBeLessThan(2 * (PI / n) ** 2);
    });
  });
});

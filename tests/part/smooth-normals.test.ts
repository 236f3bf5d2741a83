import { describe, expect, test } from 'vitest';
import { RAD_PER_DEG } from '../../src/core/units.js';
import { smoothNormals } from '../../src/part/smooth-normals.js';
import type { Mesh } from '../../src/part/types.js';
import { partOf } from '../reach/part.js';
import { seededRandom } from '../reach/random.js';
import * as shapes from '../support/shapes.js';
import { soupBuilder, type Point } from '../support/shapes/soup.js';

const { PI, cos, sin, sqrt, atan2 } = Math;
type Vector = readonly number[];

interface Shaded {
  readonly mesh: Mesh;
  readonly normals: Float64Array;
}
const shade = (corners: Float64Array): Shaded => {
  const { mesh, topology } = partOf(corners);
  return { mesh, normals: smoothNormals(mesh, topology) };
};
const cornerPoint = ({ mesh: { positions, triangles } }: Shaded, c: number): number[] => [
  ...positions.subarray(3 * triangles[c], 3 * triangles[c] + 3),
];
const cornerNormal = ({ normals }: Shaded, c: number): number[] => [...normals.subarray(3 * c, 3 * c + 3)];
const angleDeg = (a: Vector, b: Vector): number => {
  const x = a[1] * b[2] - a[2] * b[1],
    y = a[2] * b[0] - a[0] * b[2],
    z = a[0] * b[1] - a[1] * b[0];
  return atan2(sqrt(x * x + y * y + z * z), a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / RAD_PER_DEG;
};
const facetNormal = (part: Shaded, f: number): number[] => {
  const [a, b, c] = [0, 1, 2].map((k) => cornerPoint(part, 3 * f + k));
  const u = b.map((x, i) => x - a[i]),
    v = c.map((x, i) => x - a[i]);
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const length = sqrt(n[0] ** 2 + n[1] ** 2 + n[2] ** 2);
  return n.map((x) => x / length);
};
const facets = ({ mesh }: Shaded): number[] => [...Array(mesh.triangles.length / 3).keys()];
const corners = ({ mesh }: Shaded): number[] => [...mesh.triangles.keys()];

describe('spheres', () => {
  // Max 1999, doi:10.1080/10867651.1999.10487501: exact where all vertices lie on a sphere, whatever the
  // facets.
  test.each([2, 3])(
    'Max weights are exact on an icosphere with vertices shaken along it, %d subdivisions, seed 5',
    (level) => {
      const random = seededRandom(5);
      const places = new Map<string, Point>();
      const soup = shapes.icosphere(10, level);
      for (let i = 0; i < soup.length; i += 3) {
        const key = soup.subarray(i, i + 3).join();
        const place = places.get(key) ?? shaken(soup.subarray(i, i + 3), 1.6 / 2 ** level, random);
        places.set(key, place);
        soup.set(place, i);
      }
      const part = shade(soup);
      let worst = 0;
      for (const c of corners(part))
        worst = Math.max(worst, angleDeg(cornerNormal(part, c), cornerPoint(part, c)));
      expect(worst).toBeLessThan(1e-5);
    },
  );

  function shaken(p: ArrayLike<number>, by: number, random: () => number): Point {
    const q = Array.from(p, (x) => x + by * (random() - 0.5));
    const scale = 10 / sqrt(q[0] ** 2 + q[1] ** 2 + q[2] ** 2);
    return [q[0] * scale, q[1] * scale, q[2] * scale];
  }
});

/** Three squares at the origin, the faces of a cube's corner, split into 2, 1 and 1 facets there. */
function cubeCorner(): Float64Array {
  const soup = soupBuilder();
  const [x, y, z, o]: Point[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
    [0, 0, 0],
  ];
  soup.triangle(o, y, [1, 1, 0]);
  soup.triangle(o, [1, 1, 0], x);
  soup.triangle(o, x, z);
  soup.triangle(o, z, y);
  return soup.corners();
}

test("a crease of 90 degrees keeps each side's own normal", () => {
  const part = shade(cubeCorner());
  for (const c of corners(part)) {
    expect(angleDeg(cornerNormal(part, c), facetNormal(part, Math.floor(c / 3)))).toBeLessThan(1e-9);
  }
});

// Weights by angle or Max's give (1, 1, 1) / sqrt 3 at a cube's corner however its faces are split; weights
// by area are off by 19.47 degrees. Small enough to be tessellation, and no crease, the three faces share a
// normal.
test("a cube's corner of 2, 1 and 1 facets, joined: along the diagonal", () => {
  const { mesh, topology } = partOf(cubeCorner().map((x) => 0.05 * x));
  const part: Shaded = { mesh, normals: smoothNormals(mesh, topology, { creaseRad: PI }) };
  const atCorner = corners(part).filter((c) => cornerPoint(part, c).every((x) => Math.abs(x) < 1e-12));
  expect(atCorner.length).toBe(4);
  for (const c of atCorner) expect(angleDeg(cornerNormal(part, c), [-1, -1, -1])).toBeLessThan(1e-9);
});

describe('fillets tangent to planes', () => {
  const RADIUS = 5;
  const axis = (x: number, z: number, radius: number): number[] => [radius - x, radius - z];

  test.each([3, 6, 12, 48])(
    "%d facets per quarter: planes exact, the fillet's corners true to 0.2 degrees",
    (filletFacets) => {
      const soup = shapes.dihedral({ turningDeg: 90, arm: 40, length: 60, fillet: RADIUS, filletFacets });
      const part = shade(soup);
      let rounds = 0;
      for (const c of corners(part)) {
        const [x, , z] = cornerPoint(part, c);
        const own = facetNormal(part, Math.floor(c / 3));
        const n = cornerNormal(part, c);
        if (Math.abs(own[1]) > 0.5) continue;
        const [toX, toZ] = axis(x, z, RADIUS);
        const onArc =
          Math.abs(sqrt(toX * toX + toZ * toZ) - RADIUS) < 1e-9 && x <= RADIUS + 1e-9 && z <= RADIUS + 1e-9;
        const isPlane = Math.max(...own.map(Math.abs)) > 1 - 1e-12;
        if (isPlane) {
          expect(angleDeg(n, own)).toBeLessThan(1e-9);
        } else if (onArc) {
          rounds++;
          expect(angleDeg(n, [toX, 0, toZ])).toBeLessThan(0.2);
        }
      }
      expect(rounds).toBe(6 * filletFacets);
    },
  );

  // A wide plane must not be tilted along its rim however the fillet runs round it.
  test("fine fillet round a boss: every corner's normal is the torus' within 0.2 degrees", () => {
    const part = shade(shapes.filletedBoss({ segments: 256, filletFacets: 64, side: 40 }));
    let rounds = 0,
      worst = 0;
    for (const c of corners(part)) {
      const [x, y, z] = cornerPoint(part, c);
      const r = sqrt(x * x + y * y);
      if (!(r < 17 - 1e-6 && r > 14 + 1e-6 && z > 1e-6 && z < 3 - 1e-6)) continue;
      rounds++;
      worst = Math.max(
        worst,
        angleDeg(cornerNormal(part, c), [((17 - r) * x) / r, ((17 - r) * y) / r, 3 - z]),
      );
    }
    expect(rounds).toBeGreaterThan(90000);
    expect(worst).toBeLessThan(0.2);
  });
});

describe('planes', () => {
  const expectPlanes = (soup: Float64Array): void => {
    const part = shade(soup);
    for (const c of corners(part)) {
      expect(angleDeg(cornerNormal(part, c), facetNormal(part, Math.floor(c / 3)))).toBeLessThan(1e-6);
    }
  };

  test.each([10, 20])('a ramp of %d degrees beside level floors stays a plane', (angle) =>
    expectPlanes(shapes.multiRamp([angle])),
  );

  test('two wide planes 1.4 degrees apart stay two planes', () => {
    expectPlanes(shapes.vGroove({ turningDeg: 1.4, arm: 30, length: 40 }));
  });

  test('a box keeps its faces', () => expectPlanes(shapes.turned(shapes.box(3, 5, 7), 31.3)));
});

test('noise of 0.02 mm on a finely scanned sphere makes no creases, seed 11', () => {
  const random = seededRandom(11);
  const places = new Map<string, Point>();
  const soup = shapes.icosphere(10, 4);
  for (let i = 0; i < soup.length; i += 3) {
    const p = soup.subarray(i, i + 3);
    const key = p.join();
    const scale = 1 + (0.02 * (random() - 0.5)) / 10;
    const place = places.get(key) ?? [p[0] * scale, p[1] * scale, p[2] * scale];
    places.set(key, place);
    soup.set(place, i);
  }
  const part = shade(soup);
  const groups = new Map<number, Set<string>>();
  for (const c of corners(part)) {
    const v = part.mesh.triangles[c];
    groups.set(v, (groups.get(v) ?? new Set()).add(cornerNormal(part, c).join()));
  }
  expect([...groups.values()].filter((set) => set.size > 1)).toEqual([]);
});

describe('tips', () => {
  // A cone has one wall angle up to its apex: the mean of the facets there, straight up, is no normal of it.
  test.each([
    [60, 24],
    [60, 96],
    [10, 24],
    [31, 64],
  ])("cone of %d degrees, %d segments: wall angle everywhere the cone's", (angle, segments) => {
    const part = shade(shapes.frustum(15, 0, 15 * Math.tan(angle * RAD_PER_DEG), segments));
    let checked = 0;
    for (const f of facets(part)) {
      const own = facetNormal(part, f);
      if (own[2] < 0) continue;
      for (let k = 0; k < 3; k++) {
        checked++;
        const n = cornerNormal(part, 3 * f + k);
        const wall = atan2(sqrt(n[0] ** 2 + n[1] ** 2), n[2]) / RAD_PER_DEG;
        expect(Math.abs(wall - atan2(sqrt(own[0] ** 2 + own[1] ** 2), own[2]) / RAD_PER_DEG)).toBeLessThan(
          0.5,
        );
      }
    }
    expect(checked).toBe(3 * segments);
  });

  // A pole looks like a tip to its own facets; what lies beyond them tells it from one.
  test.each([16, 24, 96, 256])('the pole of a dome of %d segments points straight up', (segments) => {
    const part = shade(shapes.hemisphere(10, segments));
    const round = corners(part).filter((c) => cornerPoint(part, c)[2] > 1e-6);
    expect(Math.max(...round.map((c) => angleDeg(cornerNormal(part, c), cornerPoint(part, c))))).toBeLessThan(
      0.01,
    );
  });

  test("a drilled hole's point of 118 degrees is a cone", () => {
    const profile: [number, number][] = [
      [4, 0],
      [4, -10],
      [0, -10 - 4 * Math.tan(31 * RAD_PER_DEG)],
    ];
    const soup = soupBuilder();
    const ring = (r: number, z: number): Point[] =>
      Array.from({ length: 32 }, (_, i) => [r * cos((2 * PI * i) / 32), r * sin((2 * PI * i) / 32), z]);
    soup.band(ring(...profile[0]), ring(...profile[1]));
    soup.band(
      ring(...profile[1]),
      Array.from({ length: 32 }, (): Point => [0, 0, profile[2][1]]),
    );
    const part = shade(soup.corners());
    for (const c of corners(part)) {
      if (cornerPoint(part, c)[2] < -10.1) {
        const n = cornerNormal(part, c);
        expect(atan2(sqrt(n[0] ** 2 + n[1] ** 2), n[2]) / RAD_PER_DEG).toBeCloseTo(31, 0);
      }
    }
  });
});

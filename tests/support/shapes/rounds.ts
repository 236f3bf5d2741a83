import { soupBuilder, type Point, type Point2 } from './soup.js';
import { arc, plateWithFeature, revolve } from './sweeps.js';

const QUARTER = Math.PI / 2;
/** Ends on the axis exactly, where cos(90 degrees) would leave 6e-17. */
const onAxis = (profile: Point2[]): Point2[] => [
  ...profile.slice(0, -1),
  [0, profile[profile.length - 1][1]],
];

/** Upper half-ball on z = 0, `facets` steps from rim to pole. */
export function hemisphere(radius: number, segments: number, facets = Math.ceil(segments / 4)): Float64Array {
  return revolve([[0, 0], ...onAxis(arc([0, 0], radius, 0, QUARTER, facets))], segments);
}

/** Half-ball standing on a square plate whose top is z = 0. */
export function domeOnPlate(
  radius: number,
  side: number,
  segments: number,
  facets = Math.ceil(segments / 4),
): Float64Array {
  return plateWithFeature({
    side,
    bottomZ: -10,
    segments,
    profile: onAxis(arc([0, 0], radius, 0, QUARTER, facets)),
  });
}

/** Cone (`topRadius` 0) or frustum standing on z = 0. */
export function frustum(
  baseRadius: number,
  topRadius: number,
  height: number,
  segments: number,
): Float64Array {
  const cap: Point2[] = topRadius > 0 ? [[0, height]] : [];
  return revolve([[0, 0], [baseRadius, 0], [topRadius, height], ...cap], segments);
}

/**
 * Frustum standing on a square plate whose top is z = 0; a cone for `topRadius` 0, a round boss for equal
 * radii.
 */
export function frustumOnPlate({
  baseRadius,
  topRadius,
  height,
  side,
  segments,
}: {
  baseRadius: number;
  topRadius: number;
  height: number;
  side: number;
  segments: number;
}): Float64Array {
  const cap: Point2[] = topRadius > 0 ? [[0, height]] : [];
  return plateWithFeature({
    side,
    bottomZ: -10,
    segments,
    profile: [[baseRadius, 0], [topRadius, height], ...cap],
  });
}

/**
 * Measures of `roundPocket`, mm. The defaults are the composite benchmark: floor radius 17, fillet 3, wall
 * 20.
 */
export interface RoundPocketSpec {
  /** steps round the axis */
  readonly segments: number;
  /** facets of the quarter-round fillet */
  readonly filletFacets: number;
  readonly side?: number;
  readonly wallRadius?: number;
  readonly fillet?: number;
  /** height of the vertical wall above the fillet */
  readonly wallHeight?: number;
}

/**
 * Square plate, 60 x 60, with a round pocket: level floor of radius 17 at z = 0, concave fillet of radius 3
 * tangent to floor and wall, vertical wall of radius 20 and height 12 above the fillet, top at z = 15.
 * Areas: floor 907.9203, top 2343.3629, wall 1507.9645, fillet 559.8985.
 */
export function roundPocket(spec: RoundPocketSpec): Float64Array {
  const { segments, filletFacets, side = 60, wallRadius = 20, fillet = 3, wallHeight = 12 } = spec;
  const round = arc([wallRadius - fillet, fillet], fillet, 0, -QUARTER, filletFacets);
  // Tangent points exactly on wall and floor, not a rounding error off them.
  round[0] = [wallRadius, fillet];
  round[filletFacets] = [wallRadius - fillet, 0];
  return plateWithFeature({
    side,
    bottomZ: -10,
    segments,
    profile: [[wallRadius, fillet + wallHeight], ...round, [0, 0]],
  });
}

/**
 * Square plate with a pocket of two cones, each so high, and a level floor. @param rings radii at the top, where the cones
 * meet, and of the floor
 */
export function conePocket(
  [top, foot, floor]: readonly [number, number, number],
  high: number,
  segments: number,
): Float64Array {
  return plateWithFeature({
    side: 2.4 * top,
    bottomZ: -3 * high,
    segments,
    profile: [
      [top, 0],
      [foot, -high],
      [floor, -2 * high],
      [0, -2 * high],
    ],
  });
}

/** Measures of `filletedBoss`, mm. */
export interface BossSpec {
  readonly segments: number;
  readonly filletFacets: number;
  /** default 60 */
  readonly side?: number;
  /** default 14 */
  readonly radius?: number;
  /** default 3 */
  readonly fillet?: number;
  /** height of the vertical wall above the fillet; default 12 */
  readonly wallHeight?: number;
}

/** Round boss with a concave fillet at its foot, on a square plate whose top is z = 0. */
export function filletedBoss(spec: BossSpec): Float64Array {
  const { segments, filletFacets, side = 60, radius = 14, fillet = 3, wallHeight = 12 } = spec;
  const round = arc([radius + fillet, fillet], fillet, -QUARTER, -2 * QUARTER, filletFacets);
  round[0] = [radius + fillet, 0];
  round[filletFacets] = [radius, fillet];
  return plateWithFeature({
    side,
    bottomZ: -10,
    segments,
    profile: [...round, [radius, fillet + wallHeight], [0, fillet + wallHeight]],
  });
}

/**
 * Square block of side 2 radius + 30, top at z = 0, with a sharp-bottomed bore; right through if `through`.
 */
export function bore(radius: number, depth: number, segments: number, through = false): Float64Array {
  const profile: Point2[] = [
    [radius, 0],
    [radius, -depth],
  ];
  if (!through) profile.push([0, -depth]);
  return plateWithFeature({
    side: 2 * radius + 30,
    bottomZ: through ? -depth : -depth - 10,
    segments,
    profile,
  });
}

/** Square block of side 2 radius + 30, top at z = 0, with a half-ball pocket. */
export function sphericalPocket(
  radius: number,
  segments: number,
  facets = Math.ceil(segments / 4),
): Float64Array {
  return plateWithFeature({
    side: 2 * radius + 30,
    bottomZ: -radius - 10,
    segments,
    profile: onAxis(arc([0, 0], radius, 0, -QUARTER, facets)),
  });
}

/**
 * Ball about the origin: an icosahedron with every triangle cut in four `subdivisions` times, vertices on
 * the ball.
 */
export function icosphere(radius: number, subdivisions: number): Float64Array {
  const g = (1 + Math.sqrt(5)) / 2;
  const ring = (s: number): Point[] => [
    [0, s, g],
    [0, s, -g],
    [s, g, 0],
    [s, -g, 0],
    [g, 0, s],
    [-g, 0, s],
  ];
  const corners = [...ring(1), ...ring(-1)];
  const apart = (p: Point, q: Point): number => (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2;
  let faces: [Point, Point, Point][] = [];
  corners.forEach((a, i) =>
    corners.forEach((b, j) =>
      corners.forEach((c, k) => {
        if (i >= j || i >= k || j === k) return;
        if (Math.max(apart(a, b), apart(b, c), apart(c, a)) > 4.001 || determinant(a, b, c) < 0) return;
        faces.push([a, b, c]);
      }),
    ),
  );
  for (let level = 0; level < subdivisions; level++) {
    faces = faces.flatMap(([a, b, c]): [Point, Point, Point][] => {
      const [ab, bc, ca] = [between(a, b), between(b, c), between(c, a)];
      return [
        [a, ab, ca],
        [ab, b, bc],
        [ca, bc, c],
        [ab, bc, ca],
      ];
    });
  }
  const soup = soupBuilder();
  for (const [a, b, c] of faces) soup.triangle(onBall(a, radius), onBall(b, radius), onBall(c, radius));
  return soup.corners();
}

/** Half-way point pushed out to the ball; symmetric in its arguments bit by bit. */
const between = (a: Point, b: Point): Point => onBall([a[0] + b[0], a[1] + b[1], a[2] + b[2]], 1);

function onBall(p: Point, radius: number): Point {
  const scale = radius / Math.sqrt(p[0] * p[0] + p[1] * p[1] + p[2] * p[2]);
  return [p[0] * scale, p[1] * scale, p[2] * scale];
}

const determinant = (a: Point, b: Point, c: Point): number =>
  a[0] * (b[1] * c[2] - b[2] * c[1]) +
  a[1] * (b[2] * c[0] - b[0] * c[2]) +
  a[2] * (b[0] * c[1] - b[1] * c[0]);

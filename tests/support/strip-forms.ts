/**
 * What a ball of radius R leaves in pockets with a level floor, by closed form. Two planes that turn by phi
 * (LITERATURE.md, 5.1): the ball touches both R tan(phi / 2) from their edge. A point w beside such a place is
 * sqrt(R² + w²) - R from the ball, within the tolerance t up to w = sqrt(2 R t + t²). All else is worked out
 * here from these two.
 */
const { PI, cos, sin, tan, sqrt, max, min } = Math;

/** How far beside the place where it touches a plane a ball still comes within t, mm. */
export const within = (radius: number, t: number): number => sqrt(2 * radius * t + t * t);

/** A wall that rises from a level floor to a rim: `wallRad` its angle, `depth` the rim over the floor, mm. */
export interface WallSection {
  readonly wallRad: number;
  readonly depth: number;
}

/** Widths of the unreached strips beside a floor's edge, mm, each measured on its own surface. */
export interface Strips {
  readonly floor: number;
  readonly wall: number;
}

/**
 * A ball that rolls on the floor towards the wall. Either it touches the wall, or it is larger and touches the
 * rim: then its centre is h = sqrt(R² - (R - D)²) from the rim in plan and R - D above it. Of the wall it
 * reaches the part s below the rim with |centre - point| = R + t; seen along the wall, downwards from the rim,
 * the centre lies at c = h cos(phi) - (R - D) sin(phi), and s² - 2 s c = 2 R t + t².
 */
export function stripsAtWall(radius: number, t: number, { wallRad, depth }: WallSection): Strips {
  const slant = depth / sin(wallRad);
  const w = within(radius, t);
  const tangent = radius * tan(wallRad / 2);
  if (tangent <= slant) return { floor: max(0, tangent - w), wall: max(0, tangent - w) };
  const h = sqrt(radius * radius - (radius - depth) ** 2);
  const c = h * cos(wallRad) - (radius - depth) * sin(wallRad);
  return { floor: max(0, h - slant * cos(wallRad) - w), wall: max(0, slant - (c + sqrt(c * c + w * w))) };
}

/** A floor with round corners: its edge's length and corner radius, mm. */
export interface FloorEdge {
  readonly length: number;
  readonly corner: number;
}

/** Edge of a rectangular floor with corners of that radius, mm. */
export const roundedEdge = (halfX: number, halfY: number, corner: number): FloorEdge => ({
  length: 4 * (halfX + halfY) - 8 * corner + 2 * PI * corner,
  corner,
});

/**
 * Area of strips along the whole edge of a floor: offset curves, whose length falls by 2 pi for each mm inwards
 * (Steiner's formula for convex curves), and grows by 2 pi cos(phi) for each mm up the wall.
 */
export function stripArea({ length }: FloorEdge, wallRad: number, { floor, wall }: Strips): number {
  return length * floor - PI * floor * floor + length * wall + PI * cos(wallRad) * wall * wall;
}

/** Section between floor, wall and ball: R² (tan(phi / 2) - phi / 2). */
export const restSection = (radius: number, turningRad: number): number =>
  radius * radius * (tan(turningRad / 2) - turningRad / 2);

/**
 * Rest along the edge of a floor with round corners, the ball touching floor and wall all the way: the
 * section along the straight parts, and swept round the corners, all four together once round. Midpoint rule over
 * the height: at height z over the floor it spans from the wall to the ball.
 */
export function restAlong({ length, corner }: FloorEdge, wallRad: number, radius: number): number {
  const straight = length - 2 * PI * corner;
  const tangent = radius * tan(wallRad / 2);
  const top = radius * (1 - cos(wallRad));
  const steps = 20000;
  let swept = 0;
  for (let k = 0; k < steps; k++) {
    // Finer near the floor, where the ball's side runs level.
    const z = top * ((k + 0.5) / steps) ** 2;
    const dz = (top * (2 * k + 1)) / (steps * steps);
    const outer = corner + z / tan(wallRad);
    const inner = corner - tangent + sqrt(max(0, z * (2 * radius - z)));
    swept += PI * (outer * outer - min(outer, inner) ** 2) * dz;
  }
  return straight * restSection(radius, wallRad) + swept;
}

/**
 * How deep a ball sinks into a slot narrower than itself, and how much of the walls below the rims it still
 * reaches: it rests on both rims, its centre sqrt(R² - W² / 4) above them, and as in `stripsAtWall` s² + 2 s
 * times that = 2 R t + t² (LITERATURE.md, 5.4, for the depth).
 */
export function sunkenBall(
  radius: number,
  width: number,
  t: number,
): { readonly depth: number; readonly walls: number } {
  const above = sqrt(radius * radius - (width * width) / 4);
  return { depth: radius - above, walls: sqrt(above * above + within(radius, t) ** 2) - above };
}

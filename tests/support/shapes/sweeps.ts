import { soupBuilder, type Point, type Point2, type SoupBuilder } from './soup.js';

/**
 * Prism over a profile in the x-z plane, from y0 to y1.
 *
 * @param profile counter-clockwise with x to the right and z up (solid on the left of the walk)
 */
export function extrude(profile: readonly Point2[], y0: number, y1: number): Float64Array {
  const soup = soupBuilder();
  const at = (y: number): Point[] => profile.map(([x, z]) => [x, y, z]);
  soup.polygon(at(y0));
  soup.polygon(at(y1).reverse());
  // Seen from outside, walking the far ring and coming back along the near one turns counter-clockwise.
  const near = at(y0);
  const far = at(y1);
  near.forEach((p, i) => {
    const next = (i + 1) % near.length;
    soup.triangle(p, far[i], far[next]);
    soup.triangle(p, far[next], near[next]);
  });
  return soup.corners();
}

/**
 * `segments` points on a circle about the z axis, counter-clockwise from the +x axis; the same bits for the
 * same call.
 */
export function circle(radius: number, z: number, segments: number): Point[] {
  return Array.from({ length: segments }, (_, k) => {
    const angle = (2 * Math.PI * k) / segments;
    return radius === 0 ? [0, 0, z] : [radius * Math.cos(angle), radius * Math.sin(angle), z];
  });
}

/**
 * Adds the surface that an open (r, z) profile sweeps about the z axis in `segments` steps, vertices on the
 * true surface. Solid on the left of the walk with r to the right and z up.
 */
export function addRevolved(soup: SoupBuilder, profile: readonly Point2[], segments: number): void {
  if (!(segments >= 3)) throw new RangeError(`addRevolved: ${segments} segments, at least 3 expected`);
  for (let i = 0; i + 1 < profile.length; i++) {
    soup.band(
      circle(profile[i][0], profile[i][1], segments),
      circle(profile[i + 1][0], profile[i + 1][1], segments),
    );
  }
}

/** Solid of revolution from a profile that starts and ends on the axis. */
export function revolve(profile: readonly Point2[], segments: number): Float64Array {
  const soup = soupBuilder();
  addRevolved(soup, profile, segments);
  return soup.corners();
}

/** A square block with a round feature in the middle of its top. */
export interface PlateSpec {
  /** side of the square, mm; must exceed the first diameter of the profile */
  readonly side: number;
  readonly bottomZ: number;
  /**
   * (r, z) from the block's top inwards; the first point gives the height of the top. Ends on the axis, or at
   * `bottomZ` for a hole right through.
   */
  readonly profile: readonly Point2[];
  readonly segments: number;
}

/** Square block, two triangles per side face, with a revolved feature set into or onto its top. */
export function plateWithFeature(spec: PlateSpec): Float64Array {
  const { side, bottomZ, profile, segments } = spec;
  const soup = soupBuilder();
  const square = (z: number): Point[] =>
    [
      [1, 1],
      [-1, 1],
      [-1, -1],
      [1, -1],
    ].map(([x, y]) => [(x * side) / 2, (y * side) / 2, z]);
  const [topRadius, topZ] = profile[0];
  const [lastRadius, lastZ] = profile[profile.length - 1];
  if (!(topRadius < side / 2))
    throw new RangeError(`plateWithFeature: radius ${topRadius} in a square of ${side}`);
  addSquareRing(soup, square(topZ), circle(topRadius, topZ, segments), false);
  addRevolved(soup, profile, segments);
  if (lastRadius === 0) soup.polygon(square(bottomZ).reverse());
  else addSquareRing(soup, square(bottomZ), circle(lastRadius, lastZ, segments), true);
  soup.band(square(bottomZ), square(topZ));
  return soup.corners();
}

/**
 * Flat ring between a square (corners at 45, 135, 225, 315 degrees) and a circle, facing up unless `down`.
 */
function addSquareRing(
  soup: SoupBuilder,
  square: readonly Point[],
  inner: readonly Point[],
  down: boolean,
): void {
  const n = inner.length;
  const add = (a: Point, b: Point, c: Point): void =>
    down ? soup.triangle(a, c, b) : soup.triangle(a, b, c);
  const quadrant = (k: number): number => Math.floor((4 * (((k + n) % n) + 0.5)) / n);
  for (let k = 0; k < n; k++) {
    const here = quadrant(k);
    const before = quadrant(k - 1);
    if (here !== before) add(inner[k], square[before], square[here]);
    add(inner[k], square[here], inner[(k + 1) % n]);
  }
}

/**
 * Points on a circular arc in a profile plane, ends included, vertices on the arc.
 *
 * @param fromRad, toRad measured from the first axis of the plane towards the second
 */
export function arc(
  centre: Point2,
  radius: number,
  fromRad: number,
  toRad: number,
  facets: number,
): Point2[] {
  return Array.from({ length: facets + 1 }, (_, k) => {
    const angle = fromRad + ((toRad - fromRad) * k) / facets;
    return [centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)];
  });
}

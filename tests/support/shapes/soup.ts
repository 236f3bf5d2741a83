/** A place in space, mm, z up. */
export type Point = readonly [number, number, number];
/** A place in a plane, mm: (x, z) of an extruded profile, (r, z) of a revolved one, (x, y) in plan. */
export type Point2 = readonly [number, number];

/** Collects outward-wound triangles; `corners` gives them as a plain soup (9 T). */
export interface SoupBuilder {
  triangle(a: Point, b: Point, c: Point): void;
  /** Planar loop, counter-clockwise seen from outside, need not be convex; no vertex is added or dropped. */
  polygon(loop: readonly Point[]): void;
  /**
   * Closed band between two rings of equal length, `from` to `to`; equal neighbours collapse to one
   * triangle.
   */
  band(from: readonly Point[], to: readonly Point[]): void;
  corners(): Float64Array;
}

/** A new, empty soup. */
export function soupBuilder(): SoupBuilder {
  const numbers: number[] = [];
  const triangle = (a: Point, b: Point, c: Point): void => {
    // Adding 0 turns -0 into 0, so that equal corners are equal bit by bit.
    for (const p of [a, b, c]) numbers.push(p[0] + 0, p[1] + 0, p[2] + 0);
  };
  const polygon = (loop: readonly Point[]): void => {
    const flat = flatten(loop);
    for (const [i, j, k] of earClip(flat)) triangle(loop[i], loop[j], loop[k]);
  };
  const band = (from: readonly Point[], to: readonly Point[]): void => {
    if (from.length !== to.length)
      throw new RangeError(`band: rings of ${from.length} and ${to.length} points`);
    for (let k = 0; k < from.length; k++) {
      const next = (k + 1) % from.length;
      if (!same(from[k], from[next])) triangle(from[k], from[next], to[next]);
      if (!same(to[k], to[next])) triangle(from[k], to[next], to[k]);
    }
  };
  return { triangle, polygon, band, corners: () => Float64Array.from(numbers) };
}

const same = (a: Point, b: Point): boolean => a[0] === b[0] && a[1] === b[1] && a[2] === b[2];

/**
 * Drops the axis along which the loop's normal (Newell's sum) is longest, keeping its turn
 * counter-clockwise.
 */
function flatten(loop: readonly Point[]): Point2[] {
  const normal = [0, 0, 0];
  loop.forEach((p, i) => {
    const q = loop[(i + 1) % loop.length];
    for (let a = 0; a < 3; a++) {
      const [u, v] = [(a + 1) % 3, (a + 2) % 3];
      normal[a] += (p[u] - q[u]) * (p[v] + q[v]);
    }
  });
  // Newell's sum over (u, v) comes out as twice the area seen along +a.
  const size = normal.map((n) => Math.abs(n));
  const drop = size.indexOf(Math.max(...size));
  const [u, v] = [(drop + 1) % 3, (drop + 2) % 3];
  return loop.map((p) => (normal[drop] > 0 ? [p[u], p[v]] : [p[v], p[u]]));
}

const cross = (a: Point2, b: Point2, c: Point2): number =>
  (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

const squaredDistance = (a: Point2, b: Point2): number => (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2;

/**
 * Triangles of a simple counter-clockwise polygon by cutting ears, shortest cut first.
 *
 * @returns index triples, `loop.length - 2` of them
 * @throws RangeError if the loop crosses itself or turns clockwise
 */
function earClip(loop: readonly Point2[]): [number, number, number][] {
  const left = loop.map((_, i) => i);
  const xs = loop.map((p) => p[0]);
  const ys = loop.map((p) => p[1]);
  const epsilon =
    1e-13 * squaredDistance([Math.min(...xs), Math.min(...ys)], [Math.max(...xs), Math.max(...ys)]);
  const triples: [number, number, number][] = [];
  while (left.length > 3) {
    let best = -1;
    let bestCut = Infinity;
    for (let i = 0; i < left.length; i++) {
      const [a, b, c] = neighbours(left, i);
      const cut = squaredDistance(loop[a], loop[c]);
      if (cut < bestCut && isEar(loop, left, [a, b, c], epsilon)) [best, bestCut] = [i, cut];
    }
    if (best < 0) throw new RangeError(`earClip: no ear in a loop of ${loop.length} points`);
    triples.push(neighbours(left, best));
    left.splice(best, 1);
  }
  triples.push([left[0], left[1], left[2]]);
  return triples;
}

const neighbours = (left: readonly number[], i: number): [number, number, number] => [
  left[(i + left.length - 1) % left.length],
  left[i],
  left[(i + 1) % left.length],
];

/** True where the corner is convex and no other vertex lies in or on the triangle it would cut. */
function isEar(
  loop: readonly Point2[],
  left: readonly number[],
  ear: readonly [number, number, number],
  epsilon: number,
): boolean {
  const [a, b, c] = ear.map((i) => loop[i]);
  if (cross(a, b, c) <= epsilon) return false;
  return left.every((i) => {
    if (ear.includes(i)) return true;
    const p = loop[i];
    // A bridge to a hole runs through the same point twice; such a twin does not block.
    if (same2(p, a) || same2(p, b) || same2(p, c)) return true;
    return cross(a, b, p) < -epsilon || cross(b, c, p) < -epsilon || cross(c, a, p) < -epsilon;
  });
}

const same2 = (a: Point2, b: Point2): boolean => a[0] === b[0] && a[1] === b[1];

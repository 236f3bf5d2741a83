/**
 * Solids put together as by a modeller: manifold-3d (Apache-2.0) joins and cuts meshes and leaves the slivers and
 * long facets that such work leaves. Kept at the last release that needs no other package: later ones bring 45 MB.
 */
import library, { type Manifold } from 'manifold-3d';
import { addRings, featureProfile } from '../../../models/feature.js';
import {
  outline,
  ring,
  roundedProfile,
  type OutlineSpec,
  type ProfileCorner,
} from '../../../models/outline.js';
import { soupBuilder, type Point } from '../../support/shapes/soup.js';
import { extrude } from '../../support/shapes/sweeps.js';
import { moved, turned } from '../../support/shapes/variants.js';

const solids = await library();
solids.setup();

/** A plane that a part has by construction: unit normal of either sign, and offset along it, mm. */
export interface Plane {
  readonly normal: Point;
  readonly offsetMm: number;
}

/** What is joined to a part, or cut from it, and the planes that it brings. */
export interface Piece {
  readonly kind: 'add' | 'cut';
  readonly solid: Manifold;
  readonly planes: readonly Plane[];
}

/** A soup (9 T) as a solid; corners are shared where they are equal in single precision. */
function solidOf(corners: Float64Array): Manifold {
  const vertices: number[] = [];
  const known = new Map<string, number>();
  const triVerts = Uint32Array.from({ length: corners.length / 3 }, (_, i) => {
    const at = [...corners.subarray(3 * i, 3 * i + 3)].map((x) => Math.fround(x));
    const key = at.join(' ');
    const vertex = known.get(key) ?? vertices.push(...at) / 3 - 1;
    known.set(key, vertex);
    return vertex;
  });
  const vertProperties = Float32Array.from(vertices);
  return new solids.Manifold(new solids.Mesh({ numProp: 3, vertProperties, triVerts }));
}

/** Of the library's meshes; its own declarations do not resolve. */
interface Flat {
  readonly vertProperties: Float32Array;
  readonly triVerts: Uint32Array;
}

/** Pieces one after the other, as a soup (9 T). */
export function assembled(pieces: readonly Piece[]): Float64Array {
  const whole = pieces
    .slice(1)
    .reduce(
      (sum, { kind, solid }) => (kind === 'add' ? sum.add(solid) : sum.subtract(solid)),
      pieces[0].solid,
    );
  const { vertProperties, triVerts }: Flat = whole.getMesh();
  const corners = new Float64Array(3 * triVerts.length);
  triVerts.forEach((v, i) => corners.set(vertProperties.subarray(3 * v, 3 * v + 3), 3 * i));
  return corners;
}

function planeThrough(a: Point, b: Point, c: Point): Plane {
  const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const [vx, vy, vz] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  const n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  const length = Math.sqrt(n[0] ** 2 + n[1] ** 2 + n[2] ** 2);
  const normal: Point = [n[0] / length, n[1] / length, n[2] / length];
  return { normal, offsetMm: normal[0] * a[0] + normal[1] * a[1] + normal[2] * a[2] };
}

const levelAt = (z: number): Plane => ({ normal: [0, 0, 1], offsetMm: z });

/** A rounded outline swept along a profile from the face it is cut into, or stands on, inwards. */
export interface Swept {
  readonly outline: OutlineSpec;
  /** (inset, z, rounding): the first at the face */
  readonly corners: readonly ProfileCorner[];
  /** how far it goes on upright beyond the face, mm: up for what is cut, down for what stands on it */
  readonly beyondMm: number;
}

/** A pocket or bore. */
export const sunk = (swept: Swept, refine: number): Piece => piece('cut', swept, refine);
/** A core or boss. */
export const raised = (swept: Swept, refine: number): Piece => piece('add', swept, refine);

function piece(kind: Piece['kind'], { outline: spec, corners, beyondMm }: Swept, refine: number): Piece {
  const shape = outline(spec, refine);
  const profile = featureProfile({ outline: spec, corners, end: 'floor' }, refine);
  const [d, z] = profile[0];
  const up = kind === 'cut' ? 1 : -1;
  const rings = [[d, z + up * beyondMm] as const, ...profile].map(([inset, at]) => ring(shape, inset, at));
  if (kind === 'cut') rings.reverse();
  const soup = soupBuilder();
  addRings(soup, rings);
  soup.polygon(withoutTwins(rings[0]).reverse());
  soup.polygon(withoutTwins(rings[rings.length - 1]));
  const planes = corners.map(([, at]) => levelAt(at));
  for (let i = 0; i + 1 < corners.length; i++) {
    const [from, to] = [corners[i], corners[i + 1]].map(([inset, at]) => ring(shape, inset, at));
    shape.stations.forEach(({ base, normal }, k) => {
      const next = shape.stations[(k + 1) % from.length];
      const isStraight = normal[0] * next.normal[0] + normal[1] * next.normal[1] > 1 - 1e-12;
      if (isStraight && (base[0] !== next.base[0] || base[1] !== next.base[1]))
        planes.push(planeThrough(from[k], from[(k + 1) % from.length], to[k]));
    });
  }
  return { kind, solid: solidOf(soup.corners()), planes };
}

const withoutTwins = (loop: readonly Point[]): Point[] =>
  loop.filter((p, k) => {
    const before = loop[(k + loop.length - 1) % loop.length];
    return p[0] !== before[0] || p[1] !== before[1];
  });

/** A profile swept along a straight line in plan. */
export interface Bar {
  /** (x, z, rounding): of a groove from left to right, of a rib from right to left */
  readonly corners: readonly ProfileCorner[];
  /** height at which the profile is closed, mm */
  readonly closedAtMm: number;
  readonly lengthMm: number;
  readonly middle?: readonly [number, number];
  /** of its run, from +Y counter-clockwise */
  readonly turnDeg?: number;
}

export function bar(kind: Piece['kind'], bar: Bar, refine: number): Piece {
  const { corners, closedAtMm, lengthMm, middle = [0, 0], turnDeg = 0 } = bar;
  const [first, last] = [corners[0], corners[corners.length - 1]];
  const side = 1e3 * Math.sign(first[0] - last[0]);
  const profile = roundedProfile([first[0] + side, first[1]], corners, [last[0] - side, last[1]], refine);
  const [start, end] = [profile[0], profile[profile.length - 1]];
  const place = (soup: Float64Array): Float64Array => moved(turned(soup, turnDeg), [middle[0], middle[1], 0]);
  const solid = solidOf(
    place(extrude([...profile, [end[0], closedAtMm], [start[0], closedAtMm]], -lengthMm / 2, lengthMm / 2)),
  );
  const half = lengthMm / 2;
  const ends = [-half, half].map((y) => Float64Array.of(0, y, 0, 1, y, 0, 0, y, 1));
  const all = [[first[0], closedAtMm], ...corners, [last[0], closedAtMm]];
  const sides = all.slice(1).map(([x, z], i) => {
    const [u, w] = all[i];
    return Float64Array.of(u, 0, w, x, 0, z, u, 1, w);
  });
  const planes = [...sides, ...ends].map((soup): Plane => {
    const c = place(soup);
    return planeThrough([c[0], c[1], c[2]], [c[3], c[4], c[5]], [c[6], c[7], c[8]]);
  });
  return { kind, solid, planes: [...planes, levelAt(closedAtMm)] };
}

/** A block, its top level at `topMm`. */
export const box = (sizeX: number, lengthMm: number, closedAtMm: number, topMm: number): Piece =>
  bar(
    'add',
    {
      corners: [
        [sizeX / 2, topMm, 0],
        [-sizeX / 2, topMm, 0],
      ],
      closedAtMm,
      lengthMm,
    },
    1,
  );

/** A soup (9 T) as a piece without planes. */
export const freeform = (corners: Float64Array): Piece => ({
  kind: 'add',
  solid: solidOf(corners),
  planes: [],
});

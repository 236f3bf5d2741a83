import { facetNormals } from '../part/facet-normals.js';
import type { Mesh, Topology } from '../part/types.js';
import { ON_CIRCLE_MM, uprightBores, type Bore } from './upright-bores.js';

/** A round upright hole that is open above. */
export interface Hole {
  readonly x: number;
  readonly y: number;
  /** of the mouth, its chamfer included, mm */
  readonly top: number;
  readonly isThrough: boolean;
  /** round walls from the top down, mm: the narrowest is the hole, what is wider above it a counterbore */
  readonly steps: readonly { readonly diameterMm: number; readonly depthMm: number }[];
  /** of the chamfer or rounding at its mouth; null: none */
  readonly mouthDiameterMm: number | null;
  /** facets of walls, bottom, steps and mouth */
  readonly faces: readonly number[];
}

/** Walls belong to one hole if their axes are no further apart, mm. */
const COAXIAL_MM = 0.02;
/** What leads from one step to the next rises at most so many times as much as it widens: cones of drills. */
const RISE = 1.2;
/** A mouth widens at most to so many times the hole: heads of countersunk screws have twice (from memory). */
const MOST_MOUTH = 2.5;
/** Looked for at so many places round the axis, at this share of the radius, a bottom lies no deeper than this. */
const PROBES = 8;
const PROBE_SHARE = 0.9;
/** A ball's at that share lies 0.44 of the radius down, a cone's of a drill less. */
const BOTTOM_SHARE = 0.45;

/**
 * The holes of a part: round upright walls, stacked where they share an axis, with nothing standing in them.
 *
 * @param topOver height of the part's highest surface over a point in plan, mm; -Infinity beside it
 */
export function roundHoles(
  mesh: Mesh,
  topology: Topology,
  topOver: (x: number, y: number) => number,
): Hole[] {
  const facets = facetNormals(mesh);
  const stacks = stacked(
    uprightBores(mesh, topology, facets).map((bore) => ({
      bore,
      mouth: mouthOf(bore, mesh, topology, facets.normals),
    })),
  );
  const holes = stacks.flatMap((walls): Hole[] => {
    const [{ bore: highest, mouth }] = walls,
      lowest = walls[walls.length - 1].bore;
    const narrowest = Math.min(...walls.map(({ bore }) => bore.radius));
    const { x, y } = lowest;
    const around = (share: number): number[] =>
      Array.from({ length: PROBES }, (_, k) => {
        const angle = (2 * Math.PI * k) / PROBES + 0.1;
        return topOver(x + share * narrowest * Math.cos(angle), y + share * narrowest * Math.sin(angle));
      });
    const rim = around(PROBE_SHARE);
    // A pin in it, or part of the solid over it.
    const floor = [topOver(x, y), ...around(PROBE_SHARE / 2), ...rim];
    if (floor.some((z) => z > lowest.bottom + ON_CIRCLE_MM)) return [];
    const top = mouth?.top ?? highest.top,
      isThrough = rim.every((z) => z < lowest.bottom - BOTTOM_SHARE * narrowest - ON_CIRCLE_MM);
    // A tip goes as deep as it is found to; of what lies beyond a hole right through, nothing belongs to it.
    const deepest = isThrough ? lowest.bottom : Math.min(lowest.bottom, ...floor);
    return [
      {
        x,
        y,
        top,
        isThrough,
        steps: walls.map(({ bore }, i) => ({
          diameterMm: 2 * bore.radius,
          depthMm: (i === 0 ? top : walls[i - 1].bore.bottom) - bore.bottom,
        })),
        mouthDiameterMm: mouth === null ? null : 2 * mouth.radius,
        faces: insideFaces(walls, top, deepest, mesh, topology),
      },
    ];
  });
  return holes.sort((a, b) => a.x - b.x || a.y - b.y || b.top - a.top);
}

interface Mouth {
  readonly radius: number;
  readonly top: number;
}
interface Wall {
  readonly bore: Bore;
  readonly mouth: Mouth | null;
}

/** Walls by axis, from the top down, parted where one does not lead to the next. */
function stacked(walls: readonly Wall[]): Wall[][] {
  const stacks: Wall[][] = [];
  for (const wall of [...walls].sort((a, b) => b.bore.top - a.bore.top)) {
    const { x, y, radius, top } = wall.bore;
    const found = stacks.find((stack) => {
      const last = stack[stack.length - 1].bore;
      const rise = RISE * Math.abs(last.radius - radius) + ON_CIRCLE_MM;
      const isCoaxial = (last.x - x) ** 2 + (last.y - y) ** 2 <= COAXIAL_MM ** 2;
      return isCoaxial && top <= last.bottom + ON_CIRCLE_MM && top >= last.bottom - rise;
    });
    if (found) found.push(wall);
    else stacks.push([wall]);
  }
  return stacks;
}

/**
 * The chamfer or rounding that leads from the upper rim of a wall out and up: rings of facets about the same
 * axis, each facet with two corners on one circle, and facing the axis across the middle of those.
 */
function mouthOf(bore: Bore, mesh: Mesh, { twin }: Topology, normals: Float64Array): Mouth | null {
  const place = placer(bore, mesh);
  const seen = new Set(bore.faces);
  let radius = bore.radius,
    { top } = bore,
    turned = 0;
  for (let stack = [...bore.faces]; stack.length > 0; ) {
    const f = stack.pop() ?? 0;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = (twin[h] / 3) | 0;
      if (twin[h] < 0 || seen.has(g)) continue;
      const corners = [0, 1, 2].map((k) => place(3 * g + k));
      const span = ringSpan(corners, normals, g);
      if (
        span === null ||
        corners.some(({ z, rho }) => z < bore.top - ON_CIRCLE_MM || rho > MOST_MOUTH * bore.radius)
      )
        continue;
      seen.add(g);
      stack.push(g);
      turned += span;
      for (const { rho, z } of corners) {
        radius = Math.max(radius, rho);
        top = Math.max(top, z);
      }
    }
  }
  // Each ring closes twice, with its facets that stand on its lower circle and those on its upper one.
  return turned > 4 * Math.PI - 0.01 ? { radius, top } : null;
}

interface Placed {
  readonly rho: number;
  readonly z: number;
  readonly angle: number;
}

/** Where corner `h` lies about the axis of a bore. */
function placer({ x, y }: Bore, { positions, triangles }: Mesh): (h: number) => Placed {
  return (h) => {
    const v = 3 * triangles[h];
    const u = positions[v] - x,
      w = positions[v + 1] - y;
    return { rho: Math.sqrt(u * u + w * w), z: positions[v + 2], angle: Math.atan2(w, u) };
  };
}

/** Facets of a ring look at the axis within this, radians. */
const TO_AXIS_RAD = 0.01;
/** Level ground is no chamfer. */
const LEVEL_COSINE = Math.cos((0.5 * Math.PI) / 180);

/** How far a facet goes round the axis; null if it is none of a ring that widens upwards. */
function ringSpan(corners: readonly Placed[], normals: Float64Array, f: number): number | null {
  const nz = normals[3 * f + 2];
  if (!(nz > 0 && nz < LEVEL_COSINE)) return null;
  for (let k = 0; k < 3; k++) {
    const a = corners[k],
      b = corners[(k + 1) % 3];
    if (Math.abs(a.rho - b.rho) > ON_CIRCLE_MM || Math.abs(a.z - b.z) > ON_CIRCLE_MM) continue;
    const span = Math.atan2(Math.sin(b.angle - a.angle), Math.cos(b.angle - a.angle));
    const facing = Math.atan2(-normals[3 * f + 1], -normals[3 * f]) - (a.angle + span / 2);
    return Math.abs(Math.atan2(Math.sin(facing), Math.cos(facing))) <= TO_AXIS_RAD ? Math.abs(span) : null;
  }
  return null;
}

/** Facets that hang together with the walls and lie wholly within the hole: bottom, steps, mouth. */
function insideFaces(
  walls: readonly Wall[],
  top: number,
  bottom: number,
  mesh: Mesh,
  { twin }: Topology,
): number[] {
  const place = placer(walls[0].bore, mesh);
  const widest = Math.max(...walls.map(({ bore, mouth }) => mouth?.radius ?? bore.radius)) + ON_CIRCLE_MM;
  const isInside = (f: number): boolean =>
    [0, 1, 2].every((k) => {
      const { rho, z } = place(3 * f + k);
      return rho <= widest && z <= top + ON_CIRCLE_MM && z >= bottom - ON_CIRCLE_MM;
    });
  const faces = new Set(walls.flatMap(({ bore }) => bore.faces));
  for (const f of faces)
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = (twin[h] / 3) | 0;
      if (twin[h] >= 0 && !faces.has(g) && isInside(g)) faces.add(g);
    }
  return [...faces].sort((a, b) => a - b);
}

import { nextCorner, prevCorner } from '../part/half-edge.js';
import { chordSagitta } from '../part/sagittas.js';
import type { Mesh, Topology } from '../part/types.js';
import { profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';

/** Points along the upper edges of steep walls, which a lattice of nodes knows only to half a pitch. */
export interface WallRims {
  /** (3 P) mm */
  readonly points: Float64Array;
  /** (2 P) unit direction in plan, from the wall into the free space before it */
  readonly outward: Float64Array;
  /** (2 P) the same of the round wall that a row of facets stands for */
  readonly facing: Float64Array;
  /** (P) how far that wall lies behind the middle of its chord, mm */
  readonly sagitta: Float64Array;
  /** (P) draft of the wall: how far it comes outwards per mm down, >= 0 */
  readonly draft: Float64Array;
  /** (P) 1 where the edge ends: there the free side may turn, and no one direction will do */
  readonly ends: Uint8Array;
  /** (P) 1 at the first point of each edge; the points of an edge follow one another */
  readonly starts: Uint8Array;
}

/** A facet counts as a wall if the z component of its unit normal is below this: steeper than 84°. */
const WALL_NZ = 0.1;

/** Where two edges of a rim meet, their strips may leave a wedge this wide between them, in pitches. */
const MOST_WEDGE = 2;

/**
 * Samples the edges of walls at most half a pitch apart. Edges longer than two pitches are marked at their
 * ends, unless the rim runs on there so straight that strips cover what lies before it.
 *
 * @param rims as `rimEdges` finds them
 * @param reachMm DC/2 of the cutter
 */
export function wallRims(
  { positions, triangles }: Mesh,
  rims: RimEdges,
  pitchMm: number,
  reachMm: number,
): WallRims {
  const edgesAt = edgesByVertex(rims, triangles);
  const runsOn = straightVertices(edgesAt, rims, (MOST_WEDGE * pitchMm) / reachMm);
  const points: number[] = [],
    outward: number[] = [],
    facing: number[] = [],
    sagitta: number[] = [];
  const draft: number[] = [],
    ends: number[] = [],
    starts: number[] = [];
  rims.halfEdges.forEach((h, i) => {
    const from = triangles[h],
      to = triangles[nextCorner(h)];
    const a = 3 * from,
      b = 3 * to;
    const dx = positions[b] - positions[a],
      dy = positions[b + 1] - positions[a + 1];
    const dz = positions[b + 2] - positions[a + 2];
    const length = Math.sqrt(dx * dx + dy * dy);
    const pieces = Math.max(1, Math.ceil((2 * length) / pitchMm));
    const isLong = length > 2 * pitchMm;
    const atStart = facingAt(edgesAt, rims, from, i),
      atEnd = facingAt(edgesAt, rims, to, i);
    const sagittaMm = Math.max(0, chordSagitta(dx, dy, 0, atEnd[0] - atStart[0], atEnd[1] - atStart[1], 0));
    for (let s = 0; s <= pieces; s++) {
      const t = s / pieces;
      points.push(positions[a] + t * dx, positions[a + 1] + t * dy, positions[a + 2] + t * dz);
      outward.push(rims.outward[2 * i], rims.outward[2 * i + 1]);
      facing.push(...unit((1 - t) * atStart[0] + t * atEnd[0], (1 - t) * atStart[1] + t * atEnd[1]));
      sagitta.push(sagittaMm);
      draft.push(rims.draft[i]);
      starts.push(s === 0 ? 1 : 0);
      ends.push(isLong && ((s === 0 && !runsOn.has(from)) || (s === pieces && !runsOn.has(to))) ? 1 : 0);
    }
  });
  return {
    points: Float64Array.from(points),
    outward: Float64Array.from(outward),
    facing: Float64Array.from(facing),
    sagitta: Float64Array.from(sagitta),
    draft: Float64Array.from(draft),
    ends: Uint8Array.from(ends),
    starts: Uint8Array.from(starts),
  };
}

/** Convex edges between a wall and something less steep. */
export interface RimEdges {
  /** one of each edge, that of its wall */
  readonly halfEdges: readonly number[];
  /** two for each: unit direction in plan, from the wall into the free space before it */
  readonly outward: readonly number[];
  readonly draft: readonly number[];
}

/** @param normals (3 F) unit, of facets */
export function rimEdges(
  { positions, triangles }: Mesh,
  topology: Topology,
  normals: Float64Array,
): RimEdges {
  const halfEdges: number[] = [],
    outward: number[] = [],
    draft: number[] = [];
  for (let h = 0; h < triangles.length; h++) {
    const f = Math.floor(h / 3),
      twin = topology.twin[h];
    if (twin < 0 || Math.abs(normals[3 * f + 2]) >= WALL_NZ || !hasNormal(normals, f)) continue;
    const g = Math.floor(twin / 3);
    if (normals[3 * g + 2] < WALL_NZ) continue;
    const a = 3 * triangles[h],
      third = 3 * triangles[prevCorner(twin)];
    // Convex: the other facet falls behind the wall's plane.
    if (
      normals[3 * f] * (positions[third] - positions[a]) +
        normals[3 * f + 1] * (positions[third + 1] - positions[a + 1]) +
        normals[3 * f + 2] * (positions[third + 2] - positions[a + 2]) >=
      0
    )
      continue;
    const scale = 1 / Math.sqrt(normals[3 * f] ** 2 + normals[3 * f + 1] ** 2);
    halfEdges.push(h);
    outward.push(normals[3 * f] * scale, normals[3 * f + 1] * scale);
    draft.push(Math.max(0, normals[3 * f + 2] * scale));
  }
  return { halfEdges, outward, draft };
}

/** Facets without area have none. */
const hasNormal = (normals: Float64Array, f: number): boolean =>
  normals[3 * f] !== 0 || normals[3 * f + 1] !== 0;

/** Rim edges at each vertex. */
function edgesByVertex(
  { halfEdges }: RimEdges,
  triangles: Uint32Array,
): ReadonlyMap<number, readonly number[]> {
  const edgesAt = new Map<number, number[]>();
  halfEdges.forEach((h, i) => {
    for (const v of [triangles[h], triangles[nextCorner(h)]]) {
      const edges = edgesAt.get(v);
      if (edges) edges.push(i);
      else edgesAt.set(v, [i]);
    }
  });
  return edgesAt;
}

/** Vertices at which just two edges of a rim meet whose free sides turn by no more than that, rad. */
function straightVertices(
  edgesAt: ReadonlyMap<number, readonly number[]>,
  { outward }: RimEdges,
  mostTurnRad: number,
): Set<number> {
  const straight = new Set<number>();
  for (const [v, [i, j, third]] of edgesAt) {
    if (j === undefined || third !== undefined) continue;
    const cos = outward[2 * i] * outward[2 * j] + outward[2 * i + 1] * outward[2 * j + 1];
    if (cos >= Math.cos(Math.min(1, mostTurnRad))) straight.add(v);
  }
  return straight;
}

/** Rims that turn less than this at a vertex, rad, stand for a round wall: 16 sides to a circle and more. */
const ROUND_TURN = 0.4;

/** Direction out of the wall at an end of rim edge i: where the wall is round, midway to that of the next. */
function facingAt(
  edgesAt: ReadonlyMap<number, readonly number[]>,
  { outward }: RimEdges,
  v: number,
  i: number,
): readonly [number, number] {
  const own = [outward[2 * i], outward[2 * i + 1]] as const;
  const edges = edgesAt.get(v) ?? [];
  if (edges.length !== 2) return own;
  const other = edges[0] === i ? edges[1] : edges[0];
  const between = unit(own[0] + outward[2 * other], own[1] + outward[2 * other + 1]);
  return between[0] * own[0] + between[1] * own[1] > Math.cos(ROUND_TURN / 2) ? between : own;
}

function unit(x: number, y: number): readonly [number, number] {
  const scale = 1 / Math.sqrt(x * x + y * y);
  return [scale * x, scale * y];
}

/** Raises tip heights by the rims: exact distances in place of those to the nearest node. */
export function raiseByRims(
  rims: WallRims,
  window: GridWindow,
  profile: CutterProfile,
  tips: Float64Array,
): void {
  const { points, outward, ends } = rims;
  for (let p = 0; p < ends.length; p++) {
    const z = points[3 * p + 2];
    visitFan(
      window,
      profile,
      points[3 * p],
      points[3 * p + 1],
      outward[2 * p],
      outward[2 * p + 1],
      ends[p] === 1,
      (k, mm) => {
        // Cheaper than the profile, and true of most: the rim itself is no higher than where the tip is
        // already.
        if (tips[k] < z) tips[k] = Math.max(tips[k], z - profileHeight(profile, mm));
      },
    );
  }
}

/** Half the width of the strips of nodes that rims and axes act on, in pitches. */
const HALF_STRIP = 1.5;

/**
 * Visits the nodes within DC/2 of a point: all of them, or those in a strip three pitches wide along a
 * direction.
 *
 * @param visit told the node, and how far it is from the point in plan, mm
 */
export function visitFan(
  window: GridWindow,
  profile: CutterProfile,
  xMm: number,
  yMm: number,
  nx: number,
  ny: number,
  all: boolean,
  visit: (k: number, mm: number) => void,
): void {
  const { columns, rows, pitchMm } = window;
  const reach = profile.radiusMm / pitchMm;
  const x = (xMm - window.originXMm) / pitchMm,
    y = (yMm - window.originYMm) / pitchMm;
  // Lines of nodes across the direction: each holds three or four of the strip.
  const alongX = Math.abs(nx) >= Math.abs(ny);
  const u = alongX ? x : y,
    v = alongX ? y : x,
    nu = alongX ? nx : ny,
    nv = alongX ? ny : nx;
  const lines = alongX ? columns : rows,
    places = alongX ? rows : columns;
  const lineStep = alongX ? 1 : columns,
    placeStep = alongX ? columns : 1;
  const back = all || nu < 0 ? reach : 1,
    ahead = all || nu > 0 ? reach : 1;
  const slope = all ? 0 : nv / nu,
    half = all ? reach : HALF_STRIP / Math.abs(nu);
  for (let i = Math.max(0, Math.ceil(u - back)); i <= Math.min(lines - 1, u + ahead); i++) {
    const middle = v + (i - u) * slope,
      last = Math.min(places - 1, middle + half);
    for (let j = Math.max(0, Math.ceil(middle - half)); j <= last; j++) {
      const mm = pitchMm * Math.sqrt((i - u) ** 2 + (j - v) ** 2);
      if (mm <= profile.radiusMm) visit(i * lineStep + j * placeStep, mm);
    }
  }
}

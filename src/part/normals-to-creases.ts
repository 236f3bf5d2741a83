import { nextCorner, prevCorner } from './half-edge.js';
import { tangents } from './tangents.js';
import type { Mesh, Topology } from './types.js';

/** Keeps equations that all point one way solvable, as a share of their weight. */
const RIDGE = 1e-9;
/** A normal turns no further than this many times the most that its neighbours differ from it by. */
const MOST_TURN = 1.2;
/**
 * Cosines below which two neighbours lie on either side: of the vertex that is asked for, and of one that is
 * trusted.
 */
const OPPOSITE = -0.85,
  ON_BOTH_SIDES = -0.5;
/** Chords that differ by more than this factor tell nothing of each other's bend. */
const SCALE = 3;
/** Facets round a vertex that are looked at, at most. */
const MOST_NEIGHBOURS = 64;

/**
 * Normals of the true surface where it ends at a crease. There the mean of the facets, which lie on one side
 * only, lags by half a facet: at the rim of a half-round channel it is that of the last facet, and a ball of
 * the channel's own radius set down by it would not fit. Classes keep the means: half a facet decides no
 * area, and the rim of a dome stays on it.
 *
 * A chord makes the same angle with the surface at both of its ends, as on a circle: `nV . d = -nW . d` for a
 * vertex V at whose other side nothing lies and a neighbour W that has surface on both. Along chords that V
 * has surface on both sides of, its normal is right. The least change that suits these chords best is taken.
 *
 * @param normals (9 F) unit, from `smoothNormals`
 * @returns (9 F) unit
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one walk round each vertex, whose sums are locals.
export function normalsToCreases(mesh: Mesh, topology: Topology, normals: Float64Array): Float64Array {
  const fans = openFans(topology, normals);
  const out = normals.slice();
  const axes = new Float64Array(6),
    d = new Float64Array(3),
    n = new Float64Array(3);
  for (const start of fans.first) {
    for (let i = 0; i < 3; i++) n[i] = normals[3 * start + i];
    tangents(n, axes);
    let xx = 0,
      xy = 0,
      yy = 0,
      bx = 0,
      by = 0,
      most = 0;
    for (let corner = start; corner >= 0; corner = fans.after[corner]) {
      for (const other of [nextCorner(corner), prevCorner(corner)]) {
        if (!chord(mesh, corner, other, d)) continue;
        const x = d[0] * axes[0] + d[1] * axes[1] + d[2] * axes[2],
          y = d[0] * axes[3] + d[1] * axes[4] + d[2] * axes[5];
        const stays = isBetween(mesh, fans, corner, d, 1, OPPOSITE);
        if (!stays && !isBetween(mesh, fans, other, d, -1, ON_BOTH_SIDES)) continue;
        if (!stays && !isOfScale(mesh, topology, other, corner, d)) continue;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        if (stays) continue;
        let right = 0,
          difference = 0;
        for (let i = 0; i < 3; i++) {
          const m = normals[3 * other + i];
          right -= (n[i] + m) * d[i];
          difference += (n[i] - m) * (n[i] - m);
        }
        bx += x * right;
        by += y * right;
        most = Math.max(most, difference);
      }
    }
    if (most === 0) continue;
    const ridge = RIDGE * (xx + yy);
    const det = (xx + ridge) * (yy + ridge) - xy * xy;
    turn(
      n,
      axes,
      ((yy + ridge) * bx - xy * by) / det,
      ((xx + ridge) * by - xy * bx) / det,
      MOST_TURN * Math.sqrt(most),
    );
    for (let corner = start; corner >= 0; corner = fans.after[corner]) out.set(n, 3 * corner);
  }
  return out;
}

/** Turns the unit normal n by (x, y) in its tangent plane, but no further than `most`. */
function turn(n: Float64Array, axes: Float64Array, x: number, y: number, most: number): void {
  const size = Math.sqrt(x * x + y * y),
    share = size > most ? most / size : 1;
  for (let k = 0; k < 3; k++) n[k] += share * (x * axes[k] + y * axes[3 + k]);
  const length = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
  for (let k = 0; k < 3; k++) n[k] /= length;
}

/** Corners around a vertex that share a normal and end at a crease. */
interface OpenFans {
  /** first corner of each */
  readonly first: Int32Array;
  /** (3 F) the corner after, -1 at the last */
  readonly after: Int32Array;
  /** (3 F) first corner of the fan a corner belongs to; -1: its fan closes around the vertex */
  readonly firstOf: Int32Array;
}

function openFans({ twin }: Topology, normals: Float64Array): OpenFans {
  const after = new Int32Array(twin.length).fill(-1),
    firstOf = new Int32Array(twin.length).fill(-1);
  const first: number[] = [];
  const same = (a: number, b: number): boolean =>
    normals[3 * a] === normals[3 * b] &&
    normals[3 * a + 1] === normals[3 * b + 1] &&
    normals[3 * a + 2] === normals[3 * b + 2];
  for (let corner = 0; corner < twin.length; corner++) {
    // A fan starts where nothing that shares its normal lies across the edge that leaves.
    const before = twin[corner] < 0 ? -1 : nextCorner(twin[corner]);
    if (before >= 0 && same(corner, before)) continue;
    first.push(corner);
    for (let c = corner; ; ) {
      firstOf[c] = corner;
      const next = twin[prevCorner(c)];
      if (next < 0 || next === corner || !same(corner, next)) break;
      after[c] = next;
      c = next;
    }
  }
  return { first: Int32Array.from(first), after, firstOf };
}

const other3 = new Float64Array(3),
  next3 = new Float64Array(3);

/**
 * Whether the fan of a corner goes on beyond its vertex, in direction `sign` d: across a facet, or at least near an edge.
 */
function isBetween(
  mesh: Mesh,
  { firstOf, after }: OpenFans,
  corner: number,
  d: Float64Array,
  sign: number,
  cosine: number,
): boolean {
  if (firstOf[corner] < 0) return true;
  const isNear = (edge: Float64Array): boolean =>
    sign * (d[0] * edge[0] + d[1] * edge[1] + d[2] * edge[2]) < cosine;
  for (let c = firstOf[corner]; c >= 0; c = after[c]) {
    const isNext = chord(mesh, c, nextCorner(c), next3) > 0,
      isOther = chord(mesh, c, prevCorner(c), other3) > 0;
    if ((isNext && isNear(next3)) || (isOther && isNear(other3))) return true;
    if (isNext && isOther && isBetweenEdges(d, sign)) return true;
  }
  return false;
}

/** Whether, seen along the normal of a facet, direction `sign` d lies between its edges, from their ends `next3`, `other3`. */
function isBetweenEdges(d: Float64Array, sign: number): boolean {
  const dot = (a: Float64Array, b: Float64Array): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const along = dot(next3, other3),
    a = -sign * dot(d, next3),
    b = -sign * dot(d, other3);
  // Shares of both edges, times 1 - cos² of the angle between them: along one edge that of the other is rounding.
  return Math.min(a - along * b, b - along * a) > -1e-6 && Math.max(a, b) > 0;
}

/**
 * Whether the surface beyond the vertex of a corner is known at a scale fit to tell of the chord to another:
 * a wall that is one facet tall does not bend as the rounding of its edge does.
 *
 * @param d unit, from that vertex to the other
 */
function isOfScale(mesh: Mesh, { twin }: Topology, corner: number, toward: number, d: Float64Array): boolean {
  const length = chord(mesh, corner, toward, other3);
  for (const forward of [true, false]) {
    for (let c = corner, steps = 0; steps < MOST_NEIGHBOURS; steps++) {
      for (const neighbour of [nextCorner(c), prevCorner(c)]) {
        if (chord(mesh, neighbour, c, other3) * SCALE <= length) continue;
        if (d[0] * other3[0] + d[1] * other3[1] + d[2] * other3[2] < ON_BOTH_SIDES) return true;
      }
      const next = forward ? twin[prevCorner(c)] : twin[c] < 0 ? -1 : nextCorner(twin[c]);
      if (next < 0 || next === corner) break;
      c = next;
    }
  }
  return false;
}

/**
 * Unit vector from the vertex of `other` to that of `corner`.
 *
 * @returns how far apart they are, mm; 0, writing nothing, where they coincide
 */
function chord({ positions, triangles }: Mesh, corner: number, other: number, out: Float64Array): number {
  const a = 3 * triangles[corner],
    b = 3 * triangles[other];
  const x = positions[a] - positions[b],
    y = positions[a + 1] - positions[b + 1],
    z = positions[a + 2] - positions[b + 2];
  const length = Math.sqrt(x * x + y * y + z * z);
  if (!(length > 0)) return 0;
  out[0] = x / length;
  out[1] = y / length;
  out[2] = z / length;
  return length;
}

import { firstEqualRows } from '../core/distinct-rows.js';
import { edgeTable } from './edge-table.js';
import { nextCorner, prevCorner } from './half-edge.js';
import type { Mesh } from './types.js';

/** A mesh of shared vertices, and what became of the triangles that were read. */
export interface Weld {
  readonly mesh: Mesh;
  /** (F) triangle of the soup that each facet was; ascending */
  readonly sourceFace: Int32Array;
  /** Dropped: two corners in one place, or all three on a line. */
  readonly degenerate: Dropped;
  /** Dropped: same three vertices, same way round, as an earlier one. */
  readonly duplicate: Dropped;
  /** Two facets back to back on the same three vertices: both of each pair that was dropped. */
  readonly backToBack: Dropped;
}

/** Triangles of the soup, ascending. */
export type Dropped = readonly number[];

/**
 * Height below which three corners lie on a line, relative to the largest coordinate: a few roundings of the
 * differences. Needles of float32 files are far above it and stay.
 */
const LINE_EPSILON = 8 * 2 ** -52;

/**
 * Makes vertices of equal coordinates one vertex (exactly equal; -0 is 0) and drops what is no facet:
 * degenerate ones and repetitions. The facets left keep the order of the soup, vertices that of first use.
 *
 * Facets back to back on the same vertices enclose nothing. Both are dropped if the surface goes on without
 * them (every edge keeps an even number of facets: a wall inside, or a fin without thickness); else the first
 * stays (a facet written twice, once the wrong way round; a sheet with two faces).
 *
 * @param corners (9 T) mm, finite
 */
export function weld(corners: Float64Array): Weld {
  if (corners.length % 9 !== 0)
    throw new RangeError(`weld: ${corners.length} numbers, a multiple of 9 expected`);
  const { positions, vertexOf } = sharedVertices(corners);
  const degenerate: number[] = [],
    duplicate: number[] = [],
    backToBack: number[] = [];
  const total = corners.length / 9;
  // 0: stays, 1: dropped, 2: dropped if the surface goes on without
  const fate = new Uint8Array(total);
  markDegenerate(positions, vertexOf, fate, degenerate);
  if (markRepeated(vertexOf, fate, duplicate))
    settleBackToBack(vertexOf, positions.length / 3, fate, backToBack);
  return { ...keepUnmarked(positions, vertexOf, fate), degenerate, duplicate, backToBack };
}

/** Corners at the same place, bit for bit but for the sign of zero. */
function sharedVertices(corners: Float64Array): { positions: Float64Array; vertexOf: Uint32Array } {
  const positions = new Float64Array(corners.length);
  for (let i = 0; i < corners.length; i++) positions[i] = corners[i] + 0;
  const vertexOf = firstEqualRows(new Int32Array(positions.buffer), 6);
  let vertices = 0;
  for (let i = 0; i < vertexOf.length; i++) {
    // Vertices move down to where they belong; none is before its first corner, so none is written over.
    if (vertexOf[i] < i) vertexOf[i] = vertexOf[vertexOf[i]];
    else {
      for (let k = 0; k < 3; k++) positions[3 * vertices + k] = positions[3 * i + k];
      vertexOf[i] = vertices++;
    }
  }
  return { positions: positions.slice(0, 3 * vertices), vertexOf };
}

function markDegenerate(
  positions: Float64Array,
  vertexOf: Uint32Array,
  fate: Uint8Array,
  dropped: number[],
): void {
  for (let f = 0, h = 0; f < fate.length; f++, h += 3) {
    if (!isDegenerate(positions, vertexOf[h], vertexOf[h + 1], vertexOf[h + 2])) continue;
    fate[f] = 1;
    dropped.push(f);
  }
}

/** Whether a facet has no area, but for rounding: two vertices the same, or all three on a line. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one pass over the corners, its table in typed arrays
export function isDegenerate(positions: Float64Array, va: number, vb: number, vc: number): boolean {
  if (va === vb || vb === vc || vc === va) return true;
  const a = 3 * va,
    b = 3 * vb,
    c = 3 * vc;
  const ax = positions[a],
    ay = positions[a + 1],
    az = positions[a + 2];
  const bx = positions[b],
    by = positions[b + 1],
    bz = positions[b + 2];
  const cx = positions[c],
    cy = positions[c + 1],
    cz = positions[c + 2];
  const ux = bx - ax,
    uy = by - ay,
    uz = bz - az,
    vx = cx - ax,
    vy = cy - ay,
    vz = cz - az;
  const wx = cx - bx,
    wy = cy - by,
    wz = cz - bz;
  const nx = uy * vz - uz * vy,
    ny = uz * vx - ux * vz,
    nz = ux * vy - uy * vx;
  const longest = Math.max(
    ux * ux + uy * uy + uz * uz,
    vx * vx + vy * vy + vz * vz,
    wx * wx + wy * wy + wz * wz,
  );
  const size = Math.max(
    Math.abs(ax),
    Math.abs(ay),
    Math.abs(az),
    Math.abs(bx),
    Math.abs(by),
    Math.abs(bz),
    Math.abs(cx),
    Math.abs(cy),
    Math.abs(cz),
  );
  const height = LINE_EPSILON * size;
  return nx * nx + ny * ny + nz * nz <= longest * height * height;
}

/** Marks repetitions; returns whether some facets lie back to back (those are marked 2). */
function markRepeated(vertexOf: Uint32Array, fate: Uint8Array, dropped: number[]): boolean {
  const rows = new Int32Array(vertexOf.length);
  for (let f = 0, h = 0; f < fate.length; f++, h += 3) {
    if (fate[f] !== 0) {
      // Nothing repeats a facet without area.
      rows[h] = -1 - f;
      continue;
    }
    const a = leastCorner(vertexOf, f),
      b = vertexOf[nextCorner(a)],
      c = vertexOf[prevCorner(a)];
    rows[h] = vertexOf[a];
    rows[h + 1] = Math.min(b, c);
    rows[h + 2] = Math.max(b, c);
  }
  const first = firstEqualRows(rows, 3);
  let backToBack = false;
  for (let f = 0; f < fate.length; f++) {
    const g = first[f];
    if (g === f) continue;
    if (vertexOf[nextCorner(leastCorner(vertexOf, f))] === vertexOf[nextCorner(leastCorner(vertexOf, g))]) {
      fate[f] = 1;
      dropped.push(f);
      continue;
    }
    // A third copy of either is a mere repetition of a pair already known.
    fate[f] = fate[g] === 2 ? 1 : 2;
    if (fate[g] === 2) dropped.push(f);
    fate[g] = 2;
    backToBack = true;
  }
  return backToBack;
}

function leastCorner(vertexOf: Uint32Array, f: number): number {
  const h = 3 * f,
    a = vertexOf[h],
    b = vertexOf[h + 1],
    c = vertexOf[h + 2];
  if (a < b) return a < c ? h : h + 2;
  return b < c ? h + 1 : h + 2;
}

/** Turns every 2 into 1 (dropped) or 0 (the first of a pair, without which its edges would be left odd). */
function settleBackToBack(
  vertexOf: Uint32Array,
  vertexCount: number,
  fate: Uint8Array,
  dropped: number[],
): void {
  const all = new Uint32Array(fate.length).map((_, f) => f).filter((f) => fate[f] !== 1);
  const triangles = new Uint32Array(3 * all.length);
  all.forEach((f, i) => triangles.set(vertexOf.subarray(3 * f, 3 * f + 3), 3 * i));
  const { edgeOfHalf, facets } = edgeTable(triangles, vertexCount);
  const others = facets.slice();
  all.forEach((f, i) => {
    if (fate[f] !== 2) return;
    for (let k = 0; k < 3; k++) others[edgeOfHalf[3 * i + k]]--;
  });
  const anyStays = all.some((f) => fate[f] === 0);
  const seen = new Set<string>();
  all.forEach((f, i) => {
    if (fate[f] !== 2) return;
    const odd = [0, 1, 2].some((k) => others[edgeOfHalf[3 * i + k]] % 2 === 1);
    const key = [...vertexOf.subarray(3 * f, 3 * f + 3)].sort((p, q) => p - q).join();
    if ((odd || !anyStays) && !seen.has(key)) fate[f] = 0;
    else {
      fate[f] = 1;
      dropped.push(f);
    }
    seen.add(key);
  });
}

function keepUnmarked(
  positions: Float64Array,
  vertexOf: Uint32Array,
  fate: Uint8Array,
): { mesh: Mesh; sourceFace: Int32Array } {
  let kept = 0;
  for (let f = 0; f < fate.length; f++) if (fate[f] === 0) kept++;
  const sourceFace = new Int32Array(kept);
  const triangles = new Uint32Array(3 * kept);
  for (let f = 0, i = 0; f < fate.length; f++) {
    if (fate[f] !== 0) continue;
    sourceFace[i] = f;
    triangles[3 * i] = vertexOf[3 * f];
    triangles[3 * i + 1] = vertexOf[3 * f + 1];
    triangles[3 * i + 2] = vertexOf[3 * f + 2];
    i++;
  }
  return {
    mesh: kept === fate.length ? { positions, triangles } : usedVertices({ positions, triangles }),
    sourceFace,
  };
}

/** The same facets on only those vertices that some facet uses, in unchanged order. */
export function usedVertices(mesh: Mesh): Mesh {
  const next = new Int32Array(mesh.positions.length / 3).fill(-1);
  for (let h = 0; h < mesh.triangles.length; h++) next[mesh.triangles[h]] = 0;
  let vertices = 0;
  for (let v = 0; v < next.length; v++) if (next[v] === 0) next[v] = vertices++;
  const positions = new Float64Array(3 * vertices);
  for (let v = 0; v < next.length; v++) {
    if (next[v] < 0) continue;
    for (let i = 0; i < 3; i++) positions[3 * next[v] + i] = mesh.positions[3 * v + i];
  }
  return { positions, triangles: mesh.triangles.map((v) => next[v]) };
}

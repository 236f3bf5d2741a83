import { edgeTable } from './edge-table.js';
import { nextCorner } from './half-edge.js';
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
  /** Two facets back to back on the same three vertices. Counts both facets of each pair that was dropped. */
  readonly backToBack: Dropped;
}

/** How many, and a triangle of the soup that shows it; -1 if none. */
export interface Dropped {
  readonly count: number;
  readonly first: number;
}

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
  const tally = { degenerate: [0, -1], duplicate: [0, -1], backToBack: [0, -1] };
  const total = corners.length / 9;
  // 0: stays, 1: dropped, 2: dropped if the surface goes on without
  const fate = new Uint8Array(total);
  markDegenerate(positions, vertexOf, fate, tally.degenerate);
  if (markRepeated(vertexOf, fate, tally.duplicate))
    settleBackToBack(vertexOf, positions.length / 3, fate, tally.backToBack);
  return { ...keepUnmarked(positions, vertexOf, fate), ...asDropped(tally) };
}

const asDropped = (tally: Record<'degenerate' | 'duplicate' | 'backToBack', number[]>) => ({
  degenerate: { count: tally.degenerate[0], first: tally.degenerate[1] },
  duplicate: { count: tally.duplicate[0], first: tally.duplicate[1] },
  backToBack: { count: tally.backToBack[0], first: tally.backToBack[1] },
});

function count(entry: number[], f: number): void {
  entry[0]++;
  if (entry[1] < 0 || f < entry[1]) entry[1] = f;
}

/** Open addressing on the bits of the coordinates: 0.14 s per million triangles where a Map takes seconds. */
function sharedVertices(corners: Float64Array): { positions: Float64Array; vertexOf: Uint32Array } {
  const cornerCount = corners.length / 3;
  const vertexOf = new Uint32Array(cornerCount);
  // One more than can be needed: each candidate is written behind the last vertex before it is looked up.
  const positions = new Float64Array(3 * cornerCount + 3);
  const bits = new Int32Array(positions.buffer);
  const slots = 2 ** Math.ceil(Math.log2(1.3 * cornerCount + 8));
  // 0 is empty: vertex v is stored as v + 1.
  const table = new Int32Array(slots);
  let vertices = 0;
  for (let i = 0, p = 0; i < cornerCount; i++, p += 3) {
    const at = 3 * vertices;
    const x = corners[p] + 0,
      y = corners[p + 1] + 0,
      z = corners[p + 2] + 0;
    positions[at] = x;
    positions[at + 1] = y;
    positions[at + 2] = z;
    let slot = hashBits(bits, 6 * vertices) & (slots - 1);
    let v = table[slot] - 1;
    while (v >= 0 && (positions[3 * v] !== x || positions[3 * v + 1] !== y || positions[3 * v + 2] !== z)) {
      slot = (slot + 1) & (slots - 1);
      v = table[slot] - 1;
    }
    if (v < 0) {
      v = vertices++;
      table[slot] = vertices;
    }
    vertexOf[i] = v;
  }
  return { positions: positions.slice(0, 3 * vertices), vertexOf };
}

function hashBits(bits: Int32Array, at: number): number {
  let hash = Math.imul(bits[at] ^ Math.imul(bits[at + 1], 0x9e3779b1), 0x85ebca6b);
  hash = Math.imul(((hash ^ (hash >>> 15)) + bits[at + 2]) ^ Math.imul(bits[at + 3], 0x9e3779b1), 0xc2b2ae35);
  hash = Math.imul(((hash ^ (hash >>> 13)) + bits[at + 4]) ^ Math.imul(bits[at + 5], 0x9e3779b1), 0x27d4eb2f);
  return hash ^ (hash >>> 15);
}

function markDegenerate(
  positions: Float64Array,
  vertexOf: Uint32Array,
  fate: Uint8Array,
  entry: number[],
): void {
  for (let f = 0, h = 0; f < fate.length; f++, h += 3) {
    if (!isDegenerate(positions, vertexOf[h], vertexOf[h + 1], vertexOf[h + 2])) continue;
    fate[f] = 1;
    count(entry, f);
  }
}

/** Whether a facet has no area, but for rounding: two vertices the same, or all three on a line. */
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
  const height = LINE_EPSILON * Math.max(farthest(ax, ay, az), farthest(bx, by, bz), farthest(cx, cy, cz));
  return nx * nx + ny * ny + nz * nz <= longest * height * height;
}

const farthest = (x: number, y: number, z: number): number => Math.max(Math.abs(x), Math.abs(y), Math.abs(z));

/** Marks repetitions; returns whether some facets lie back to back (those are marked 2). */
function markRepeated(vertexOf: Uint32Array, fate: Uint8Array, entry: number[]): boolean {
  const slots = 2 ** Math.ceil(Math.log2(1.6 * fate.length + 8));
  const table = new Int32Array(slots).fill(-1);
  let backToBack = false;
  for (let f = 0; f < fate.length; f++) {
    if (fate[f] !== 0) continue;
    const start = leastCorner(vertexOf, f);
    const a = vertexOf[start],
      b = vertexOf[nextCorner(start)],
      c = vertexOf[nextCorner(nextCorner(start))];
    let slot = hashTriple(a, b, c) & (slots - 1);
    for (let g = table[slot]; g >= 0; slot = (slot + 1) & (slots - 1), g = table[slot]) {
      const s = leastCorner(vertexOf, g);
      if (vertexOf[s] !== a) continue;
      const p = vertexOf[nextCorner(s)],
        q = vertexOf[nextCorner(nextCorner(s))];
      if (p === b && q === c) {
        fate[f] = 1;
        count(entry, f);
        break;
      }
      if (p === c && q === b) {
        // A third copy of either is a mere repetition of a pair already known.
        fate[f] = fate[g] === 2 ? 1 : 2;
        if (fate[g] === 2) count(entry, f);
        fate[g] = 2;
        backToBack = true;
        break;
      }
    }
    if (table[slot] < 0) table[slot] = f;
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

function hashTriple(a: number, b: number, c: number): number {
  const low = Math.min(b, c),
    high = Math.max(b, c);
  let hash = Math.imul(a ^ Math.imul(low, 0x9e3779b1), 0x85ebca6b);
  hash = Math.imul((hash ^ (hash >>> 15)) + high, 0xc2b2ae35);
  return hash ^ (hash >>> 14);
}

/** Turns every 2 into 1 (dropped) or 0 (the first of a pair, without which its edges would be left odd). */
function settleBackToBack(
  vertexOf: Uint32Array,
  vertexCount: number,
  fate: Uint8Array,
  entry: number[],
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
      count(entry, f);
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

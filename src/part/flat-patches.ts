import type { FacetNormals } from './facet-normals.js';
import type { Mesh, Topology } from './types.js';

/** Groups of adjoining facets that lie in one plane. */
export interface FlatPatches {
  /** (F) patch of each facet */
  readonly patchOf: Int32Array;
  /** (P) mm² */
  readonly areas: Float64Array;
}

/**
 * Normals this close, in radians, count as one plane: the noise of float32 coordinates on millimetre facets.
 */
const SAME_PLANE_RAD = 5e-4;
/**
 * A vertex this close to the plane, relative to the part's size, lies in it whatever a sliver's normal says.
 */
const SAME_PLANE_RELATIVE = 2e-7;

/**
 * Grows each patch from its largest facet, comparing with that seed's plane rather than with the neighbour's:
 * a chain of neighbours would creep around a finely facetted cylinder. Patches are numbered by their lowest
 * facet.
 *
 * @param facets normals and areas of `mesh`
 */
export function flatPatches(mesh: Mesh, topology: Topology, facets: FacetNormals): FlatPatches {
  const { twin } = topology;
  const { normals, areas } = facets;
  const count = areas.length;
  const inPlane = planeTest(mesh, normals);
  const seedOf = new Int32Array(count).fill(-1);
  const stack = new Int32Array(count);
  const grows = growingSeeds(twin, count, inPlane);
  // A facet that takes no other in is a patch of its own from its turn on.
  const isDone = (g: number, seed: number): boolean =>
    seedOf[g] >= 0 || (grows[g] === 0 && (areas[g] > areas[seed] || (areas[g] === areas[seed] && g < seed)));
  for (const seed of largestFirst(areas, grows)) {
    if (seedOf[seed] >= 0) continue;
    seedOf[seed] = seed;
    stack[0] = seed;
    for (let top = 1; top > 0; ) {
      const f = stack[--top];
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const t = twin[h],
          g = (t / 3) | 0;
        if (t < 0 || isDone(g, seed) || !inPlane(seed, t)) continue;
        seedOf[g] = seed;
        stack[top++] = g;
      }
    }
  }
  return numbered(seedOf, areas);
}

/** Whether the facet of half-edge `t` lies in the plane of facet `seed`, if the ends of `t` do. */
function planeTest(mesh: Mesh, normals: Float64Array): (seed: number, t: number) => boolean {
  const { positions, triangles } = mesh;
  const offPlane = SAME_PLANE_RELATIVE * partSize(positions);
  return (seed, t) => {
    const f = 3 * seed,
      g = 3 * ((t / 3) | 0);
    const nx = normals[f],
      ny = normals[f + 1],
      nz = normals[f + 2];
    const dot = nx * normals[g] + ny * normals[g + 1] + nz * normals[g + 2];
    if (dot <= 0) return false;
    if (dot >= 1 - 0.5 * SAME_PLANE_RAD * SAME_PLANE_RAD) return true;
    const o = 3 * triangles[f],
      v = 3 * triangles[t === g ? g + 2 : t - 1];
    const level = nx * positions[o] + ny * positions[o + 1] + nz * positions[o + 2];
    return !(Math.abs(nx * positions[v] + ny * positions[v + 1] + nz * positions[v + 2] - level) > offPlane);
  };
}

/**
 * (F) 1 for facets that some neighbour lies in one plane with. On a curved surface they are few, and looking
 * for them in the order of the mesh costs little; the order of areas jumps about in memory.
 */
function growingSeeds(
  twin: Int32Array,
  count: number,
  inPlane: (seed: number, t: number) => boolean,
): Uint8Array {
  const grows = new Uint8Array(count);
  for (let h = 0; h < twin.length; h++) {
    const f = (h / 3) | 0;
    if (grows[f] === 0 && twin[h] >= 0 && inPlane(f, twin[h])) grows[f] = 1;
  }
  return grows;
}

/** Bits that a pass of the sort looks at. */
const DIGIT_BITS = 16;

/**
 * Marked facets by falling area, equal ones ascending. A radix sort, for areas are not negative and their
 * bits rise with them: a tenth of the time of a sort by comparing.
 */
function largestFirst(areas: Float64Array, marks: Uint8Array): Uint32Array {
  const digits = new Uint16Array(areas.buffer, areas.byteOffset, 4 * areas.length);
  const start = new Uint32Array(2 ** DIGIT_BITS);
  let from = new Uint32Array(marks.reduce((sum, mark) => sum + mark, 0)),
    to = new Uint32Array(from.length);
  for (let f = 0, i = 0; f < marks.length; f++) if (marks[f] === 1) from[i++] = f;
  for (let part = 0; part < 4; part++) {
    start.fill(0);
    for (let i = 0; i < from.length; i++) start[digits[4 * from[i] + part]]++;
    for (let digit = start.length - 1, sum = 0; digit >= 0; digit--) {
      const size = start[digit];
      start[digit] = sum;
      sum += size;
    }
    for (let i = 0; i < from.length; i++) to[start[digits[4 * from[i] + part]]++] = from[i];
    [from, to] = [to, from];
  }
  return from;
}

/** Numbers for seeds; a facet without one is a patch by itself. */
function numbered(seedOf: Int32Array, areas: Float64Array): FlatPatches {
  const patchOf = new Int32Array(seedOf.length),
    patchOfSeed = new Int32Array(seedOf.length).fill(-1);
  const sums = new Float64Array(seedOf.length);
  let patches = 0;
  for (let f = 0; f < seedOf.length; f++) {
    const seed = seedOf[f] < 0 ? f : seedOf[f];
    if (patchOfSeed[seed] < 0) patchOfSeed[seed] = patches++;
    patchOf[f] = patchOfSeed[seed];
    sums[patchOf[f]] += areas[f];
  }
  return { patchOf, areas: sums.slice(0, patches) };
}

/** Largest absolute coordinate: the size that float32 rounding is relative to. */
function partSize(positions: Float64Array): number {
  let size = 0;
  for (let i = 0; i < positions.length; i++) if (Math.abs(positions[i]) > size) size = Math.abs(positions[i]);
  return size;
}

import type { Mesh, Topology } from '../part/types.js';
import { nextCorner } from '../part/half-edge.js';
import { edgeLength } from '../part/facet-geometry.js';

/** What a cutter reaches of one patch: enough for the length of its passes there. */
export interface PatchShape {
  readonly areaMm2: number;
  /** of its border, mm */
  readonly borderMm: number;
  /** Euler characteristic: pieces less holes */
  readonly pieces: number;
}

/** Way of a cutter's axis over a floor, mm, and the number of passes, a mean and so a fraction. */
export interface FloorPath {
  readonly lengthMm: number;
  readonly passes: number;
}

/**
 * Length of passes over a floor, the steps from one to the next along the border included: `A/s + P/2`, A and P being
 * area and perimeter of the region for the axis, whether the passes are parallel or follow the border inwards. Of
 * parallel passes over a w x l rectangle that is `l (w/s + 1) + w`; of rings `s` apart over a disc of radius ρ
 * `π ρ (ρ/s + 1)`.
 *
 * The axis keeps inside by the radius a of the flat end, so that its region follows from the floor's by Steiner's
 * formula for parallel curves: `A - a P + π a² χ` and `P - 2 π a χ`. That is exact where the border is no tighter than
 * a, as the border of what a flat end reaches is, but for sharp corners at an open edge: there A comes out `(4 - π) a²`
 * short for four.
 */
export function floorPath(
  { areaMm2, borderMm, pieces }: PatchShape,
  flatRadiusMm: number,
  stepMm: number,
): FloorPath {
  const a = flatRadiusMm;
  const area = Math.max(0, areaMm2 - a * borderMm + Math.PI * a * a * pieces);
  const perimeter = Math.max(0, borderMm - 2 * Math.PI * a * pieces);
  const once = perimeter / 2;
  return { lengthMm: area / stepMm + once, passes: 1 + (once > 0 ? area / stepMm / once : 0) };
}

/** Where facets of a mesh are cut by the border of what a cutter reaches. */
export interface ReachedFacets {
  readonly mesh: Mesh;
  readonly topology: Topology;
  /** (F) patch of each facet, -1: in none */
  readonly patchOf: ArrayLike<number>;
  /** (F) share of each facet that is reached */
  readonly reached: (f: number) => number;
  readonly isReached: (v: number) => boolean;
  /** (3 F) of a half-edge between ends of which one is reached: the share from the unreached end to the border */
  readonly fractions: Float64Array;
  /** (F) mm² */
  readonly areas: Float64Array;
}

/** Shape of what is reached of each patch. */
export function patchShapes(input: ReachedFacets, count: number): PatchShape[] {
  const { mesh, topology, patchOf, reached, areas } = input;
  const { triangles } = mesh;
  const area = new Float64Array(count),
    border = new Float64Array(count),
    pieces = new Float64Array(count);
  // Facets of one patch come mostly one after the other, so that a vertex seldom changes hands.
  const lastOf = new Int32Array(mesh.positions.length / 3).fill(-1),
    vertices = new Set<number>();
  for (let f = 0; f < areas.length; f++) {
    const p = patchOf[f];
    if (p < 0 || !(reached(f) > 0)) continue;
    area[p] += areas[f] * reached(f);
    border[p] += cutLength(input, f);
    pieces[p]++;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = topology.twin[h] < 0 ? -1 : (topology.twin[h] / 3) | 0;
      const isBeyond = g < 0 || patchOf[g] !== p;
      if (isBeyond) border[p] += reachedLength(input, h);
      // An edge counts for both of its facets, a vertex where patches meet for each of them.
      pieces[p] -= isBeyond || !(reached(g) > 0) ? 1 : 0.5;
      const v = triangles[h];
      if (lastOf[v] === p) continue;
      lastOf[v] = p;
      const key = v * count + p;
      if (!vertices.has(key)) pieces[p]++;
      vertices.add(key);
    }
  }
  return Array.from(area, (areaMm2, p) => ({ areaMm2, borderMm: border[p], pieces: pieces[p] }));
}

/**
 * (F) Area by which what a cutter leaves grows if it is taken a little larger, mm², told of facets on its border. What is
 * left grows in scale: a strip along a wall in width, what a round end leaves of a corner in plan in both directions.
 *
 * @param grows of each patch the share by which what is left of it grows
 * @param mostMm the border moves by no more: mouths of what is too narrow as a whole stay where they are
 */
export function grownStrips(
  input: ReachedFacets,
  grows: (patch: number) => number,
  mostMm: number,
): Float64Array {
  const { patchOf, reached, areas } = input;
  const left = new Map<number, { mm2: number; borderMm: number }>();
  const lengths = areas.map((area, f) => {
    const p = patchOf[f],
      share = p < 0 ? 1 : reached(f);
    if (share === 1) return 0;
    const own = left.get(p) ?? { mm2: 0, borderMm: 0 },
      cutMm = share === 0 ? 0 : cutLength(input, f);
    own.mm2 += (1 - share) * area;
    own.borderMm += cutMm;
    left.set(p, own);
    return cutMm;
  });
  return lengths.map((mm, f) => {
    if (mm === 0) return 0;
    const { mm2, borderMm } = left.get(patchOf[f])!;
    return mm * Math.min(mostMm, (grows(patchOf[f]) * mm2) / borderMm);
  });
}

function reachedLength({ mesh, isReached, fractions }: ReachedFacets, h: number): number {
  const ends = [h, nextCorner(h)].filter((corner) => isReached(mesh.triangles[corner])).length;
  return edgeLength(mesh, h) * (ends === 1 ? 1 - fractions[h] : ends / 2);
}

/** Length of the border of reach within a facet, mm. */
function cutLength(
  { mesh: { positions, triangles }, isReached, fractions }: ReachedFacets,
  f: number,
): number {
  const crossings = [3 * f, 3 * f + 1, 3 * f + 2].flatMap((h) => {
    const a = triangles[h],
      b = triangles[nextCorner(h)];
    if (isReached(a) === isReached(b)) return [];
    const along = isReached(a) ? 1 - fractions[h] : fractions[h];
    return [
      [0, 1, 2].map((i) => positions[3 * a + i] + along * (positions[3 * b + i] - positions[3 * a + i])),
    ];
  });
  const [one, other] = crossings;
  return other ? Math.sqrt(one.reduce((sum, x, i) => sum + (x - other[i]) ** 2, 0)) : 0;
}

import { listsByKey } from '../core/lists.js';
import { mapTo } from '../core/map-to.js';
import type { FlatPatches } from './flat-patches.js';
import { nextCorner } from './half-edge.js';
import type { Mesh, Topology } from './types.js';

/** An edge that runs further than this from the direction of another, as a cosine, bends the surface another way. */
const ALONG_COSINE = 0.35;
/** Neighbouring bends of one curved surface differ by at most this factor. */
export const BEND_RATIO = 2.5;
/** A patch with more edges to others is a face, and bends on nowhere. */
const MOST_EDGES = 256;

/** Half-edges of each flat patch to others, and open ones. */
type Borders = ReturnType<typeof bordersOf>;

export const bordersOf = ({ twin }: Topology, { patchOf, areas }: FlatPatches) =>
  listsByKey(
    mapTo(new Int32Array(twin.length), twin, (t, h) => {
      const patch = patchOf[(h / 3) | 0];
      return t >= 0 && patchOf[(t / 3) | 0] === patch ? -1 : patch;
    }),
    areas.length,
  );

/** How far a patch extends from the line of a half-edge on its border, mm; Infinity for one of many edges. */
export function extentAcross(
  mesh: Mesh,
  { start, items }: Borders,
  { patchOf }: FlatPatches,
): (h: number) => number {
  const { positions, triangles } = mesh;
  const along = new Float64Array(3);
  return (h) => {
    const patch = patchOf[(h / 3) | 0],
      a = 3 * triangles[h];
    if (start[patch + 1] - start[patch] > MOST_EDGES) return Infinity;
    directionOf(mesh, h, along);
    let most = 0;
    for (let i = start[patch]; i < start[patch + 1]; i++) {
      // Borders are closed: each of their vertices begins one of their edges.
      const v = 3 * triangles[items[i]];
      const x = positions[v] - positions[a],
        y = positions[v + 1] - positions[a + 1],
        z = positions[v + 2] - positions[a + 2];
      const on = x * along[0] + y * along[1] + z * along[2];
      most = Math.max(most, x * x + y * y + z * z - on * on);
    }
    return Math.sqrt(most);
  };
}

/**
 * Strongest bend of the patch of half-edge `h` towards anything but patch `except`, about an edge across from it that runs
 * along, or of a single triangle any way; `sign` 0 convex, 2 concave. 0 where there is none.
 *
 * The next edge across a curve is an edge of the other half where a quad of it is not quite level, for rounding of the
 * coordinates or by twist: so where a facet has no like one, it is looked for beyond what bends less against it.
 */
export function bendsBeyond(
  mesh: Mesh,
  { twin }: Topology,
  { patchOf }: FlatPatches,
  { start, items }: Borders,
  bends: Float64Array,
  creaseRad: number,
): (h: number, except: number, sign: 0 | 2, isAnyWay: boolean) => number {
  const patchAt = (h: number): number => patchOf[(h / 3) | 0];
  const own = new Float64Array(3),
    other = new Float64Array(3);
  const strongest = (h: number, patch: number, except: number, sign: 0 | 2, isAnyWay: boolean): number => {
    const edges = start[patch + 1] - start[patch],
      leastCosine = isAnyWay && edges === 3 ? 0 : ALONG_COSINE;
    let most = 0;
    if (edges > MOST_EDGES) return most;
    for (let i = start[patch]; i < start[patch + 1]; i++) {
      const g = items[i],
        size = Math.abs(bends[g]);
      if (size <= most || size > creaseRad || (bends[g] >= 0 ? 0 : 2) !== sign) continue;
      if (patchAt(twin[g]) === except) continue;
      directionOf(mesh, g, other);
      const cosine = Math.abs(own[0] * other[0] + own[1] * other[1] + own[2] * other[2]);
      if (cosine >= leastCosine && !runsOn(mesh, h, own, g)) most = size;
    }
    return most;
  };
  return (h, except, sign, isAnyWay) => {
    const f = (h / 3) | 0;
    directionOf(mesh, h, own);
    let most = strongest(h, patchOf[f], except, sign, isAnyWay);
    if (most * BEND_RATIO >= Math.abs(bends[h])) return most;
    for (let side = 3 * f; side < 3 * f + 3; side++) {
      if (side === h || twin[side] < 0) continue;
      const beyond = patchAt(twin[side]);
      if (beyond === patchOf[f] || beyond === except) continue;
      if (Math.abs(bends[side]) >= Math.abs(bends[h])) continue;
      most = Math.max(most, strongest(h, beyond, patchOf[f], sign, isAnyWay));
    }
    return most;
  };
}

/** Writes the unit direction of a half-edge. */
function directionOf({ positions, triangles }: Mesh, h: number, out: Float64Array): void {
  const a = 3 * triangles[h],
    b = 3 * triangles[nextCorner(h)];
  for (let k = 0; k < 3; k++) out[k] = positions[b + k] - positions[a + k];
  const length = Math.sqrt(out[0] * out[0] + out[1] * out[1] + out[2] * out[2]);
  for (let k = 0; k < 3; k++) out[k] /= length || 1;
}

/**
 * Whether the middle of another edge lies beyond the ends of half-edge `h` rather than across from it: then it is the
 * same edge of the part, which runs on.
 *
 * @param along its unit direction
 */
function runsOn({ positions, triangles }: Mesh, h: number, along: Float64Array, other: number): boolean {
  const a = 3 * triangles[h],
    b = 3 * triangles[nextCorner(h)],
    c = 3 * triangles[other],
    d = 3 * triangles[nextCorner(other)];
  let square = 0,
    on = 0,
    length = 0;
  for (let k = 0; k < 3; k++) {
    const from = (positions[c + k] + positions[d + k]) / 2 - positions[a + k];
    square += from * from;
    on += from * along[k];
    length += (positions[b + k] - positions[a + k]) * along[k];
  }
  const past = Math.max(0, -on, on - length);
  return past * past > square - on * on;
}

import { checkLengths } from '../core/check-lengths.js';
import { listsByRange } from '../core/lists.js';
import { nextCorner } from '../part/half-edge.js';
import type { Mesh, Topology } from '../part/types.js';
import type { Strategy } from './finishing-surface.js';
import { levelFunction } from './pass-pieces.js';

/** Polylines of passes, as cut from a mesh. */
export type Slices = Readonly<ReturnType<typeof passSlices>>;

export interface SliceOptions {
  /** passes that follow the surface lie in no planes and cannot be sliced */
  readonly strategy: Exclude<Strategy, { kind: 'following' }>;
  readonly spacingMm: number;
  /** where plane 0 is: a height (waterline), or a way along the step direction, left of the feed (raster) */
  readonly offsetMm: number;
  /** (F) 1 for the facets to cut; absent: all */
  readonly mask?: Uint8Array;
}

/**
 * Cuts the passes themselves from a mesh: level planes (waterline) or vertical ones (raster), chained to
 * polylines.
 *
 * A vertex exactly on a plane counts as above it, so every facet that a plane meets has one edge that rises
 * through it and one that falls; the twin of a rising half-edge falls. Chains therefore need no search and no
 * tolerance. The surface lies above the plane to the left of the run, seen from outside.
 *
 * @throws {RangeError} for a spacing that is not positive, or arrays that do not agree
 */
export function passSlices(mesh: Mesh, topology: Topology, options: SliceOptions) {
  const { spacingMm, offsetMm } = options;
  if (!(spacingMm > 0 && Number.isFinite(spacingMm + offsetMm))) {
    throw new RangeError(`passSlices: spacing ${spacingMm} (> 0), offset ${offsetMm} (finite)`);
  }
  checkLengths('passSlices', { twins: [topology.twin.length, mesh.triangles.length] });
  const levelOf = levelFunction(mesh.positions, options.strategy);
  const levels = Float64Array.from({ length: mesh.positions.length / 3 }, (_, v) => levelOf(v));
  const table = facetsByPlane(mesh.triangles, levels, options);
  const walker = newWalker(mesh, topology, levels);
  const planes = table.start.length - 1;
  for (let i = 0; i < planes; i++) {
    const k = table.first + i;
    walker.enter(k, offsetMm + k * spacingMm, table.facets.subarray(table.start[i], table.start[i + 1]));
  }
  return walker.finish();
}

interface PlaneTable {
  /** number of the first plane */
  readonly first: number;
  /** (planes + 1) offsets into `facets` */
  readonly start: Uint32Array;
  readonly facets: Uint32Array;
}

/** Which facets each plane meets: counted, then filled. */
function facetsByPlane(triangles: Uint32Array, levels: Float64Array, options: SliceOptions): PlaneTable {
  const { spacingMm, offsetMm, mask } = options;
  const count = triangles.length / 3;
  const from = new Int32Array(count),
    to = new Int32Array(count);
  // Largest k whose plane is not above `level`; corrected so that all facets judge by the plane's own rounded
  // height.
  const planeBelow = (level: number): number => {
    let k = Math.floor((level - offsetMm) / spacingMm);
    while (offsetMm + k * spacingMm > level) k--;
    while (offsetMm + (k + 1) * spacingMm <= level) k++;
    return k;
  };
  let first = Infinity,
    last = -Infinity;
  for (let f = 0; f < count; f++) {
    const a = levels[triangles[3 * f]],
      b = levels[triangles[3 * f + 1]],
      c = levels[triangles[3 * f + 2]];
    from[f] = planeBelow(Math.min(a, b, c)) + 1;
    to[f] = mask && !mask[f] ? from[f] - 1 : planeBelow(Math.max(a, b, c));
    if (from[f] > to[f]) continue;
    first = Math.min(first, from[f]);
    last = Math.max(last, to[f]);
  }
  if (first > last) return { first: 0, start: new Uint32Array(1), facets: new Uint32Array(0) };
  const own = (k: number): number => k - first;
  const { start, items } = listsByRange(from.map(own), to.map(own), last - first + 1);
  return { first, start, facets: items };
}

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share the polylines so far and what waits.
function newWalker(mesh: Mesh, topology: Topology, levels: Float64Array) {
  const { triangles, positions: p } = mesh;
  const { twin } = topology;
  const points: number[] = [],
    start = [0],
    plane: number[] = [],
    closed: number[] = [];
  /** plane for which a facet was listed and not yet walked over */
  const waiting = new Int32Array(triangles.length / 3).fill(-0x80000000);
  /** The half-edge of facet `f` that rises through the plane (or falls). */
  const crossing = (f: number, level: number, rising: boolean): number => {
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const below = levels[triangles[h]] < level,
        above = levels[triangles[nextCorner(h)]] >= level;
      if (below === rising && above === rising) return h;
    }
    throw new RangeError(`passSlices: plane at ${level} does not meet facet ${f}`);
  };

  const addPoint = (h: number, level: number): void => {
    // Both facets of an edge must get the same bits, so it is always run from its lower to its higher vertex.
    const u = triangles[h],
      w = triangles[nextCorner(h)];
    const a = levels[u] < levels[w] ? u : w,
      b = a === u ? w : u;
    const t = (level - levels[a]) / (levels[b] - levels[a]);
    for (let i = 0; i < 3; i++) points.push(p[3 * a + i] + t * (p[3 * b + i] - p[3 * a + i]));
  };

  const neighbour = (h: number, k: number): number => {
    const t = twin[h];
    // A twin that does not point back would let the run turn into a loop that never meets its start.
    if (t < 0 || twin[t] !== h) return -1;
    const other = (t - (t % 3)) / 3;
    return waiting[other] === k ? other : -1;
  };

  const walk = (seed: number, k: number, level: number): void => {
    // Back to where the run begins; a loop comes round to the seed.
    let first = seed;
    for (let f = neighbour(crossing(seed, level, true), k); f >= 0 && f !== seed; ) {
      first = f;
      f = neighbour(crossing(f, level, true), k);
    }
    const entry = crossing(first, level, true);
    const isLoop = neighbour(entry, k) >= 0;
    addPoint(entry, level);
    for (let f = first; f >= 0; ) {
      waiting[f] = -0x80000000;
      const exit = crossing(f, level, false);
      addPoint(exit, level);
      f = neighbour(exit, k);
    }
    start.push(points.length / 3);
    plane.push(k);
    closed.push(isLoop ? 1 : 0);
  };

  return {
    enter(k: number, level: number, facets: Uint32Array): void {
      for (const f of facets) waiting[f] = k;
      for (const f of facets) if (waiting[f] === k) walk(f, k, level);
    },
    finish: () => ({
      /** (3 P) mm */
      points: Float64Array.from(points),
      /**
       * (L + 1) points of polyline `l`: `start[l]` to `start[l + 1]`; a closed one repeats its first point at
       * the end
       */
      start: Uint32Array.from(start),
      /** (L) number of the plane each polyline lies in: plane `k` is at `offsetMm + k spacingMm` */
      plane: Int32Array.from(plane),
      /** (L) 1 for a closed loop */
      closed: Uint8Array.from(closed),
    }),
  };
}

import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { nextCorner } from '../mesh/half-edge.js';
import { resumeSurface } from '../mesh/surface-builder.js';
import type { Surface } from '../mesh/types.js';
import { connectedPatches, type Patch } from './connected-patches.js';
import type { ReachEngine } from '../fields/reach-engine.js';
import { POINT_STRIDE } from '../fields/reach-kernels.js';
import type { ReachBorder } from '../fields/unreached-area.js';

/** A connected patch of machinable surface that a cutter does not reach. */
export interface TightPatch extends Patch {
  /** largest radius that reaches all of it, mm, allowance included; 0: a sharp corner */
  readonly reachRadiusMm: number;
}

export interface TightPatches {
  /** largest first */
  readonly patches: readonly TightPatch[];
  /** the surface cut along the patches' borders */
  readonly surface: Surface;
  /** (F) index in `patches`, -1: reached, not machinable, or in a patch too small to list */
  readonly patchOf: Int32Array;
}

/** Points of a patch whose radius is searched for exactly. */
const MOST_POINTS = 48;
/** A reach radius below this many tolerances is what the tolerance alone lets into a sharp corner. */
const SHARP_TOLERANCES = 5;

/**
 * Cuts out the patches that one cutter does not reach, and finds the largest ball radius that each would take.
 */
export async function tightPatches(
  { surface, labels, counts, radii, own }: TightInput, sagittas: Float32Array, toleranceMm: number, engine: ReachEngine,
  context: Context,
): Promise<TightPatches> {
  const cut = cutAtBorder(surface, labels, own.counts, own.border);
  const ballCount = (v: number): number => (v < counts.length ? counts[v] : -1);
  const left = { surface: cut.surface, member: cut.unreached, ballCount, radii };
  return patchesOf(left, sagittas, toleranceMm, engine, context);
}

export interface TightInput {
  readonly surface: Surface;
  readonly labels: Uint8Array;
  /** (V) ball radii that reach each vertex */
  readonly counts: Uint8Array;
  /** of those balls, ascending, mm, allowance included */
  readonly radii: Float64Array;
  /** border of the cutter, and the counts that it was found with: those of the balls, or its own */
  readonly own: { readonly counts: Uint8Array; readonly border: ReachBorder };
}

/** Facets that a cutter leaves, on a surface cut along its border. */
export interface LeftFacets {
  readonly surface: Surface;
  /** (F) 0: left; -1: not */
  readonly member: Int32Array;
  /** how many of the radii reach a vertex; -1: not known */
  readonly ballCount: (v: number) => number;
  readonly radii: Float64Array;
}

/** The connected patches of what a cutter leaves, with the largest ball radius that each would take. */
export async function patchesOf(
  left: LeftFacets, sagittas: Float32Array, toleranceMm: number, engine: ReachEngine, context: Context,
): Promise<TightPatches> {
  const { patches, facesOf, patchOf } = connectedPatches(left.surface, left.member);
  const reach = await patchRadii(left, facesOf, sagittas, engine, context);
  const sharp = SHARP_TOLERANCES * toleranceMm;
  return {
    patches: patches.map((patch, i) => ({ ...patch, reachRadiusMm: reach[i] < sharp ? 0 : reach[i] })),
    surface: left.surface, patchOf,
  };
}

/** A surface whose facets lie on one side of a border of reach. */
export interface CutSurface {
  readonly surface: Surface;
  /** (F) */
  readonly labels: Uint8Array;
  /** (F) 0 unreached, -1 not */
  readonly unreached: Int32Array;
}

/** Cuts facets along the border of what one radius reaches. */
export function cutAtBorder(surface: Surface, labels: Uint8Array, counts: Uint8Array, border: ReachBorder): CutSurface {
  const { triangles } = surface.mesh;
  const known = counts.length;
  const cuts = new Map<number, number>();
  const key = (a: number, b: number): number => Math.min(a, b) * 67108864 + Math.max(a, b);
  border.halfEdges.forEach((h, i) => {
    cuts.set(key(triangles[h], triangles[nextCorner(h)]), border.fractions[i]);
  });
  const build = resumeSurface(surface, labels);
  const isOut = (v: number): boolean => v < known && counts[v] <= border.index;
  const cutOnce = (f: number): boolean => {
    const { triangles: at } = build.arrays();
    for (let k = 0; k < 3; k++) {
      const a = at[3 * f + k], b = at[3 * f + ((k + 1) % 3)];
      if (a >= known || b >= known) continue;
      const fraction = cuts.get(key(a, b));
      if (fraction === undefined) continue;
      const inner = Math.min(Math.max(fraction, 1e-6), 1 - 1e-6);
      build.bisect(3 * f + k, isOut(a) ? inner : 1 - inner);
      return true;
    }
    return false;
  };
  for (let f = 0; f < build.faceCount(); f++) {
    if (build.arrays().labels[f] >= MACHINABLE_CLASSES) continue;
    while (cutOnce(f)) { /* until no edge of f crosses the border */ }
  }
  const done = build.finish();
  const faces = done.labels.length, corners = done.surface.mesh.triangles;
  const unreached = Int32Array.from({ length: faces }, (_, f) => {
    if (done.labels[f] >= MACHINABLE_CLASSES) return -1;
    // New vertices lie on the border; a facet's old ones are all on one side of it.
    const old = [0, 1, 2].map((k) => corners[3 * f + k]).filter((v) => v < known);
    return old.length > 0 && old.every(isOut) ? 0 : -1;
  });
  return { ...done, unreached };
}

/** Least reach radius over the points of each patch; a sample of those that fewest radii reach is searched. */
async function patchRadii(
  { surface, ballCount, radii }: LeftFacets, patches: readonly (readonly number[])[], sagittas: Float32Array,
  engine: ReachEngine, context: Context,
): Promise<Float64Array> {
  const { mesh: { positions, triangles }, normals, parent } = surface;
  const items: number[] = [], bounds: number[] = [], owner: number[] = [];
  patches.forEach((faces, i) => {
    const corners = faces.flatMap((f) => [3 * f, 3 * f + 1, 3 * f + 2]).filter((h) => ballCount(triangles[h]) >= 0);
    const least = corners.reduce((low, h) => Math.min(low, ballCount(triangles[h])), radii.length);
    const hard = corners.filter((h) => ballCount(triangles[h]) === least);
    const step = Math.max(1, Math.floor(hard.length / MOST_POINTS));
    for (let j = 0; j < hard.length; j += step) {
      const h = hard[j], v = 3 * triangles[h];
      items.push(positions[v], positions[v + 1], positions[v + 2]);
      items.push(normals[3 * h], normals[3 * h + 1], normals[3 * h + 2], 1, sagittas[parent[(h / 3) | 0]]);
      bounds.push(least === 0 ? 0 : radii[least - 1], least < radii.length ? radii[least] : Infinity);
      owner.push(i);
    }
  });
  const least = new Float64Array(patches.length).fill(Infinity);
  if (items.length === 0) return least;
  if (items.length !== POINT_STRIDE * owner.length) throw new RangeError('patchRadii: out of step');
  const task = { kind: 'radii', items: Float64Array.from(items), bounds: Float64Array.from(bounds) } as const;
  const found = await engine.run(task, context.signal);
  owner.forEach((i, j) => { least[i] = Math.min(least[i], found[j]); });
  return least;
}

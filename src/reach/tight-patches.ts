import { MACHINABLE_CLASSES } from '../core/classes.js';
import { mapTo } from '../core/map-to.js';
import { facetNormals } from '../part/facet-normals.js';
import { nextCorner } from '../part/half-edge.js';
import { subSurface } from '../surface/sub-surface.js';
import { resumeSurface } from '../surface/surface-builder.js';
import type { Surface } from '../part/types.js';
import { connectedPatches, type Patch } from '../surface/connected-patches.js';
import { edgeKey } from '../surface/edge-key.js';
import { touchingFaces } from '../surface/touching-faces.js';
import { mostlyReachRadius } from './mostly-reach.js';
import type { ReachBorder } from './unreached-area.js';

/** A connected patch of machinable surface that a cutter does not reach. */
export interface TightPatch extends Patch {
  /** largest radius that reaches all of it, mm, allowance included; 0: a sharp corner */
  readonly reachRadiusMm: number;
  /** largest that reaches three quarters of it, mm, allowance included; Infinity: any does */
  readonly mostlyReachRadiusMm: number;
}

export interface TightPatches {
  /** largest first */
  readonly patches: readonly TightPatch[];
  /** those too small to list */
  readonly crumbs: { readonly count: number; readonly areaMm2: number };
  /** the facets of the patches, cut along their borders, and those beside them */
  readonly surface: Surface;
  /** (F) index in `patches`, -1: reached, not machinable, or in a patch too small to list */
  readonly patchOf: Int32Array;
}

/** A reach radius below this many tolerances is what the tolerance alone lets into a sharp corner. */
const SHARP_TOLERANCES = 5;

/**
 * Cuts out the patches that one cutter does not reach, and finds the largest ball radius that each would
 * take.
 */
export function tightPatches(
  { surface, labels, reachRadii, own }: TightInput,
  toleranceMm: number,
): TightPatches {
  const { index } = own.border;
  const faces = touchingFaces(surface, labels, (v) => own.counts[v] <= index);
  const { surface: part, vertexOf, faceOf } = subSurface(surface, faces);
  const partOf = new Int32Array(labels.length).fill(-1);
  faceOf.forEach((f, i) => {
    partOf[f] = i;
  });
  const cut = cutAtBorder(
    part,
    mapTo(new Uint8Array(faceOf.length), faceOf, (f) => labels[f]),
    mapTo(new Uint8Array(vertexOf.length), vertexOf, (v) => own.counts[v]),
    { ...own.border, halfEdges: own.border.halfEdges.map((h) => 3 * partOf[(h / 3) | 0] + (h % 3)) },
  );
  const ballReach = (v: number): number => (v < vertexOf.length ? reachRadii[vertexOf[v]] : NaN);
  return patchesOf({ surface: cut.surface, member: cut.unreached, ballReach }, toleranceMm);
}

export interface TightInput {
  readonly surface: Surface;
  readonly labels: Uint8Array;
  /** (V) largest ball radius that reaches each vertex, mm, allowance included; see `sampleReach` */
  readonly reachRadii: Float64Array;
  /** border of the cutter, and the counts that it was found with: those of the balls, or its own */
  readonly own: { readonly counts: Uint8Array; readonly border: ReachBorder };
}

/** Facets that a cutter leaves, on a surface cut along its border. */
export interface LeftFacets {
  readonly surface: Surface;
  /** (F) 0: left; -1: not */
  readonly member: Int32Array;
  /** largest ball radius that reaches a vertex, mm, allowance included; NaN: not known */
  readonly ballReach: (v: number) => number;
}

/** The connected patches of what a cutter leaves, with the largest ball radius that each would take. */
export function patchesOf({ surface, member, ballReach }: LeftFacets, toleranceMm: number): TightPatches {
  const { patches, facesOf, patchOf, crumbs } = connectedPatches(surface, member);
  const { triangles } = surface.mesh,
    { areas } = facetNormals(surface.mesh);
  const leastReach = (faces: readonly number[]): number => {
    let least = Infinity;
    for (const f of faces) {
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const radius = ballReach(triangles[h]);
        if (radius < least) least = radius;
      }
    }
    return least;
  };
  return {
    patches: patches.map((patch, i) => {
      const radius = leastReach(facesOf[i]);
      return {
        ...patch,
        reachRadiusMm: radius < SHARP_TOLERANCES * toleranceMm ? 0 : radius,
        mostlyReachRadiusMm: mostlyReachRadius(
          facesOf[i].flatMap((f) =>
            [0, 1, 2]
              .map((k) => ({ radiusMm: ballReach(triangles[3 * f + k]), weight: areas[f] }))
              .filter(({ radiusMm }) => radiusMm >= 0),
          ),
        ),
      };
    }),
    crumbs,
    surface,
    patchOf,
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
export function cutAtBorder(
  surface: Surface,
  labels: Uint8Array,
  counts: Uint8Array,
  border: ReachBorder,
): CutSurface {
  const { triangles } = surface.mesh;
  const known = counts.length;
  const cuts = new Map<number, number>();
  border.halfEdges.forEach((h, i) => {
    cuts.set(edgeKey(triangles[h], triangles[nextCorner(h)]), border.fractions[i]);
  });
  const build = resumeSurface(surface, labels);
  const isOut = (v: number): boolean => v < known && counts[v] <= border.index;
  const cutOnce = (f: number): boolean => {
    const { triangles: at } = build.arrays();
    for (let k = 0; k < 3; k++) {
      const a = at[3 * f + k],
        b = at[3 * f + ((k + 1) % 3)];
      if (a >= known || b >= known) continue;
      const fraction = cuts.get(edgeKey(a, b));
      if (fraction === undefined) continue;
      const inner = Math.min(Math.max(fraction, 1e-6), 1 - 1e-6);
      build.bisect(3 * f + k, isOut(a) ? inner : 1 - inner);
      return true;
    }
    return false;
  };
  for (let f = 0; f < build.faceCount(); f++) {
    if (build.arrays().labels[f] >= MACHINABLE_CLASSES) continue;
    while (cutOnce(f)) {
      /* until no edge of f crosses the border */
    }
  }
  const done = build.finish();
  const faces = done.labels.length,
    corners = done.surface.mesh.triangles;
  const unreached = new Int32Array(faces).map((_, f) => {
    if (done.labels[f] >= MACHINABLE_CLASSES) return -1;
    // New vertices lie on the border; a facet's old ones are all on one side of it.
    let out = 0,
      old = 0;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      if (corners[h] < known) old++;
      if (isOut(corners[h])) out++;
    }
    return old > 0 && out === old ? 0 : -1;
  });
  return { ...done, unreached };
}

import { CLASS_INDEX } from '../core/classes.js';
import { cutterShape, mayFinish, type Cutter } from '../cutter/catalogue.js';
import type { Setup } from '../resolve-setup.js';
import { connectedRegions } from '../surface/connected-regions.js';
import type { FinishingSurface } from '../time/finishing-surface.js';
import { LEVEL_SINE } from '../time/pass-frame.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { ReachAnalysis } from './analyse-reach.js';

/** A level floor, or an upright wall all round which a cutter runs at one height. */
export interface Patch {
  readonly kind: 'floor' | 'wall';
  readonly areaMm2: number;
  /** the level region that a floor is, the steep one that a wall lies in */
  readonly region: number;
}

/** Where flat and bull-nose cutters may finish in place of balls. */
export interface FloorsAndWalls {
  /** (F of the surface on which reach was computed) index in `patches`; -1: balls finish it */
  readonly patchOf: Int32Array;
  readonly patches: readonly Patch[];
}

/** Curvature from which a facet is not plane, or not straight up, 1/mm: a bow of 5 µm over 20 mm. */
const CURVED = 1e-4;
/** More of a floor is plane, of a wall straight; where one runs into a rounding the first half degree of that is not. */
const PLANE_SHARE = 0.9;

/** Flat and bull-nose cutters of the set-up that floors and walls may be left to, large to small. */
export function millsOf({ cutters, floors, walls }: Setup): Cutter[] {
  const finishers = cutters.filter(mayFinish),
    shapes = finishers.map(cutterShape);
  if ((floors === 'ball' && walls === 'ball') || !shapes.includes('ball')) return [];
  return finishers
    .filter((_, i) => shapes[i] === 'flat' || shapes[i] === 'bull-nose')
    .sort((a, b) => b.DC - a.DC || b.RE - a.RE);
}

/**
 * Level regions that are plane, and patches of steep surface that are upright within half a degree and straight up:
 * the equator of a sphere is neither.
 *
 * @param regions of the surface on which reach was computed
 */
export function floorsAndWalls(
  { surface, labels, areas }: ReachAnalysis,
  { curvature }: FinishingSurface,
  regions: NumberedRegions,
  setup: Pick<Setup, 'floors' | 'walls'>,
): FloorsAndWalls {
  const member = Int32Array.from(labels, (label, f) => {
    if (label === CLASS_INDEX.level && setup.floors === 'auto') return regions.regionOfFace[f];
    const isWall = label === CLASS_INDEX.steep && setup.walls === 'auto' && isUpright(surface.normals, f);
    return isWall ? regions.areas.length : -1;
  });
  const { regionOfFace, count } = connectedRegions(surface.topology, member);
  const area = new Float64Array(count),
    bent = new Float64Array(count),
    first = new Int32Array(count).fill(-1);
  regionOfFace.forEach((patch, f) => {
    if (patch < 0) return;
    if (first[patch] < 0) first[patch] = f;
    area[patch] += areas[f];
    if (bendAt(curvature, f, labels[f] === CLASS_INDEX.level) > CURVED) bent[patch] += areas[f];
  });
  const kept = [...area.keys()].filter((p) => bent[p] <= (1 - PLANE_SHARE) * area[p]);
  const numberOf = new Int32Array(count).fill(-1);
  kept.forEach((p, i) => {
    numberOf[p] = i;
  });
  return {
    patchOf: regionOfFace.map((p) => (p < 0 ? -1 : numberOf[p])),
    patches: kept.map(
      (p): Patch => ({
        kind: labels[first[p]] === CLASS_INDEX.level ? 'floor' : 'wall',
        areaMm2: area[p],
        region: regions.regionOfFace[first[p]],
      }),
    ),
  };
}

/** Of each patch whether a mill has been on it. @param left (F) share of each facet that is left by mills */
export function patchesDone({ patchOf, patches }: FloorsAndWalls, left: Float64Array): boolean[] {
  const done = patches.map(() => false);
  patchOf.forEach((p, f) => {
    if (p >= 0 && left[f] < 1) done[p] = true;
  });
  return done;
}

/** Whether all corners of a facet face level within half a degree. */
const isUpright = (normals: Float64Array, f: number): boolean =>
  [0, 1, 2].every((k) => Math.abs(normals[9 * f + 3 * k + 2]) <= LEVEL_SINE);

/** How much a floor bends in any direction, a wall upwards, 1/mm. */
function bendAt(curvature: Float64Array | undefined, f: number, isFloor: boolean): number {
  if (!curvature) return 0;
  const [xx, yy, zz] = curvature.subarray(6 * f, 6 * f + 3);
  return isFloor ? Math.abs(xx) + Math.abs(yy) : Math.abs(zz);
}

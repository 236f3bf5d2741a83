import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import type { Cutter } from '../cutter/catalogue.js';
import { leastStickout, type Stickout } from '../reach/stickout.js';
import type { Surface } from '../part/types.js';
import type { Setup } from '../resolve-setup.js';
import { contactTip, offsetProfile } from '../cutter/cutter-profile.js';
import type { BlockMaxima } from '../reach/grid-queries.js';
import type { GridWindow } from '../reach/grid-window.js';
import type { TightPatches } from '../reach/tight-patches.js';
import { profileOfCutter } from './analyse-cutters.js';
import type { ReachAnalysis } from './analyse-reach.js';

/** How far cutters must stick out of their holders. */
export interface StickoutProbe {
  /** At all places whose vertex of the surface on which reach was computed is wanted. */
  atVertices(cutter: Cutter, isWanted: (v: number) => boolean): Stickout;
  /** At the given corners of that surface. */
  atCorners(cutter: Cutter, corners: readonly number[]): Stickout;
  /** At one patch of what a cutter leaves, or at some vertices of it. */
  atPatch(cutter: Cutter, tight: TightPatches, patch: number, isWanted?: (v: number) => boolean): Stickout;
}

/** Of the places in one square of this side only the deepest is tried: less than the clearance apart. */
const THIN_MM = 0.25;
const MOST_SQUARES = 1 << 20;

/**
 * A probe over the part. A place counts as reached where the cutter misses it by no more than the tolerance,
 * yet the cutter is taken to touch it: in the foot of a wall it stands too low by up to √(2 RE · tolerance),
 * and the answer is too long by that.
 *
 * @param maxima upper bounds of its height, so that no answer is too short
 */
export function stickoutProbe(
  maxima: BlockMaxima,
  reach: ReachAnalysis,
  setup: Setup,
  context: Context,
): StickoutProbe {
  const clearanceMm = setup.holderClearanceMm + setup.stockMm;
  const at = (cutter: Cutter, surface: Surface, corners: ArrayLike<number>): Stickout =>
    leastStickout(
      cutter,
      maxima,
      tipsAt(surface, corners, cutter, setup.stockMm, maxima.window),
      clearanceMm,
      context,
    );
  const facesOf = facesByPatch();
  const { triangles } = reach.surface.mesh;
  let contacts: Int32Array | undefined;
  const contactsAmong = contactsOf(reach.surface);
  return {
    atVertices: (cutter, isWanted) => {
      contacts ??= machinableCorners(reach);
      return at(
        cutter,
        reach.surface,
        contacts.filter((h) => isWanted(triangles[h])),
      );
    },
    atCorners: (cutter, corners) => at(cutter, reach.surface, contactsAmong(corners)),
    atPatch: (cutter, tight, patch, isWanted = () => true) => {
      const { surface } = tight;
      const corners = cornersOf(facesOf(tight)[patch]);
      return at(
        cutter,
        surface,
        corners.filter((h) => isWanted(surface.mesh.triangles[h])),
      );
    },
  };
}

/** Corners of machinable facets, those of a vertex that have one normal but once. */
function machinableCorners({ surface, labels }: ReachAnalysis): Int32Array {
  const corners = new Int32Array(surface.mesh.triangles.length);
  let count = 0;
  for (let h = 0; h < corners.length; h++) if (labels[(h / 3) | 0] < MACHINABLE_CLASSES) corners[count++] = h;
  return Int32Array.from(contactsOf(surface)(corners.subarray(0, count)));
}

/**
 * Those of some corners that differ in vertex or normal from the one of the same vertex before: most corners of a
 * vertex have one normal, and so one tip. Asked for of a few corners at a time, it costs no more than they are many.
 */
function contactsOf({ mesh: { positions, triangles }, normals }: Surface) {
  const before = new Int32Array(positions.length / 3).fill(-1);
  return (corners: ArrayLike<number>): number[] => {
    const found: number[] = [];
    for (let i = 0; i < corners.length; i++) {
      const h = corners[i],
        known = before[triangles[h]];
      before[triangles[h]] = h;
      if (!(known >= 0 && isSame(normals, known, h))) found.push(h);
    }
    for (let i = 0; i < corners.length; i++) before[triangles[corners[i]]] = -1;
    return found;
  };
}

const cornersOf = (faces: readonly number[]): number[] => faces.flatMap((f) => [3 * f, 3 * f + 1, 3 * f + 2]);

/** Facets of each patch, gathered once. */
function facesByPatch(): (tight: TightPatches) => readonly (readonly number[])[] {
  const known = new Map<TightPatches, number[][]>();
  return (tight) => {
    let faces = known.get(tight);
    if (!faces) {
      const lists: number[][] = tight.patches.map(() => []);
      tight.patchOf.forEach((patch, f) => {
        if (patch >= 0) lists[patch].push(f);
      });
      known.set(tight, lists);
      faces = lists;
    }
    return faces;
  };
}

/**
 * Tips of a cutter that touches the surface at the given corners, the deepest of each small square in plan.
 *
 * @returns (3 P) mm, deepest first: what asks for most is met early
 */
function tipsAt(
  surface: Surface,
  corners: ArrayLike<number>,
  cutter: Cutter,
  stockMm: number,
  window: GridWindow,
): Float64Array {
  const {
    mesh: { positions, triangles },
    normals,
  } = surface;
  const profile = offsetProfile(profileOfCutter(cutter), stockMm);
  const margin = profile.radiusMm;
  const width = window.columns * window.pitchMm + 2 * margin,
    depth = window.rows * window.pitchMm + 2 * margin;
  const left = window.originXMm - margin,
    below = window.originYMm - margin;
  const side = Math.max(THIN_MM, Math.sqrt((width * depth) / MOST_SQUARES));
  const columns = Math.floor(width / side) + 1;
  const deepest = new Map<number, number>();
  const tips: number[] = [];
  const tip = new Float64Array(3);
  for (let i = 0; i < corners.length; i++) {
    const h = corners[i];
    const v = 3 * triangles[h];
    contactTip(profile, normals[3 * h], normals[3 * h + 1], normals[3 * h + 2], tip);
    const x = positions[v] + tip[0],
      y = positions[v + 1] + tip[1],
      z = positions[v + 2] + tip[2] + stockMm;
    const square = Math.floor((y - below) / side) * columns + Math.floor((x - left) / side);
    const at = deepest.get(square);
    if (at === undefined) {
      deepest.set(square, tips.length);
      tips.push(x, y, z);
    } else if (z < tips[at + 2]) {
      tips[at] = x;
      tips[at + 1] = y;
      tips[at + 2] = z;
    }
  }
  const order = [...deepest.values()].sort((a, b) => tips[a + 2] - tips[b + 2] || a - b);
  return Float64Array.from(order.flatMap((at) => [tips[at], tips[at + 1], tips[at + 2]]));
}

function isSame(normals: Float64Array, g: number, h: number): boolean {
  return (
    normals[3 * g] === normals[3 * h] &&
    normals[3 * g + 1] === normals[3 * h + 1] &&
    normals[3 * g + 2] === normals[3 * h + 2]
  );
}

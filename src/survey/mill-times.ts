import { nextCorner } from '../part/half-edge.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Setup } from '../resolve-setup.js';
import type { FinishingSurface } from '../time/finishing-surface.js';
import { floorPath } from '../time/mill-pass.js';
import { passTimes, regionTime, type PassPlan, type PassTime } from '../time/pass-time.js';
import type { Left } from '../time/ladder-states.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { regionsOf } from './finishing-passes.js';
import { FINISH_ALLOWANCE_MM, finishingFeed } from './pass-layout.js';
import type { FloorsAndWalls, Patch } from './floors-and-walls.js';
import type { Mill } from './mill-reach.js';

/** Time on one connected piece of a floor or wall. */
export interface MillTime extends PassTime {
  readonly patch: number;
}

/**
 * Times of a flat or bull-nose cutter over floors and walls, where it has something to cut.
 *
 * @param before what is left; null: all
 */
export type MillTimes = (before: Left | null, mill: Mill) => readonly MillTime[];

/** The passes of a cutter: steps are shares of its own sizes; what is taken off sideways on a wall is the allowance. */
export function millPlans(cutter: Cutter, setup: Setup): Readonly<Record<Patch['kind'], PassPlan>> {
  const { DC, RE, APMX } = cutter,
    { machine } = setup;
  const stepoverMm = setup.floorStepShare * (DC - 2 * RE);
  const feed = (sideMm: number, steepestRad: number): number =>
    finishingFeed(setup, cutter, sideMm, steepestRad).feedMmPerMin;
  return {
    floor: {
      strategy: { kind: 'following' },
      spacingMm: stepoverMm,
      cutter,
      feedMmPerMin: feed(stepoverMm, 0),
      machine,
    },
    wall: {
      strategy: { kind: 'waterline' },
      spacingMm: setup.wallStepShare * APMX,
      cutter,
      feedMmPerMin: feed(FINISH_ALLOWANCE_MM, Math.PI / 2),
      machine,
    },
  };
}

/** Height of a wall rounded up to whole axial steps, mm. */
export const inFullSteps = (heightMm: number, stepMm: number): number =>
  Math.ceil(heightMm / stepMm - 1e-6) * stepMm;

/**
 * Floors that no mill has been on take passes of the length that `floorPath` gives, walls as many full rounds as axial
 * steps fit into their height; what one mill leaves another follows as it would any rest.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share the sums of one cutter
export function millTimes(
  { surface }: ReachAnalysis,
  finishing: FinishingSurface,
  setup: Setup,
  { patches, patchOf }: FloorsAndWalls,
): MillTimes {
  const rounds = wallRounds(surface.mesh, surface.topology.twin, patchOf, patches.length);
  const faces = Int32Array.from([...patchOf.keys()].filter((f) => patchOf[f] >= 0));
  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: likewise
  return (before, mill) => {
    const plans = millPlans(mill.cutter, setup);
    const own = new Float64Array(patchOf.length),
      isCut = (f: number): boolean => (before?.share[f] ?? 1) > mill.share[f];
    const inPatch = new Float64Array(patches.length),
      isTouched = new Uint8Array(patches.length);
    for (const f of faces) {
      own[f] = finishing.areas[f] * Math.max(0, (before?.larger[f] ?? 1) - mill.share[f]);
      inPatch[patchOf[f]] += own[f];
      if (before && before.share[f] < 1) isTouched[patchOf[f]] = 1;
    }
    const isWhole = (p: number): boolean => inPatch[p] > 0 && isTouched[p] === 0;
    const floors: MillTime[] = [],
      scale = new Float64Array(patches.length),
      across = new Float64Array(patches.length);
    patches.forEach(({ kind, areaMm2 }, p) => {
      if (!isWhole(p)) return;
      if (kind === 'wall') {
        across[p] = inFullSteps(rounds[p].heightMm, plans.wall.spacingMm);
        scale[p] = (across[p] * rounds[p].lengthMm) / areaMm2;
        return;
      }
      const { DC, RE } = mill.cutter;
      const { lengthMm, passes } = floorPath(mill.shapes[p], DC / 2 - RE, plans.floor.spacingMm);
      const counted = { areaMm2: inPatch[p], pathLengthMm: lengthMm, passes, pieces: passes };
      const time = regionTime(plans.floor, counted, lengthMm / plans.floor.feedMmPerMin);
      floors.push({ ...time, patch: p });
    });
    return [...floors, ...wallTimes(), ...restTimes()];

    function wallTimes(): MillTime[] {
      if (!scale.some((factor) => factor > 0)) return [];
      const full = { ...finishing, areas: new Float64Array(patchOf.length) };
      for (const f of faces) full.areas[f] = own[f] * scale[patchOf[f]];
      const where = { ...surface, regionOf: patchOf, count: patches.length };
      const extents = { across, border: new Float64Array(patches.length) };
      return passTimes(full, where, plans.wall, extents).flatMap((time, patch) =>
        scale[patch] > 0 ? [{ ...time, areaMm2: inPatch[patch], patch }] : [],
      );
    }

    function restTimes(): MillTime[] {
      const mask = new Uint8Array(patchOf.length);
      for (const f of faces) if (own[f] > 0 && isTouched[patchOf[f]] === 1) mask[f] = 1;
      if (!mask.includes(1)) return [];
      const { regionOf, count } = regionsOf(surface, mask, patchOf);
      const inRegion = new Float64Array(count),
        patchOfRegion = new Int32Array(count).fill(-1);
      regionOf.forEach((region, f) => {
        if (region < 0) return;
        inRegion[region] += own[f];
        if (isCut(f)) patchOfRegion[region] = patchOf[f];
      });
      return Array.from(inRegion).flatMap((areaMm2, region) => {
        // Nothing but blend: there is nothing to clean.
        if (patchOfRegion[region] < 0) return [];
        const patch = patchOfRegion[region],
          plan = plans[patches[patch].kind];
        const pathLengthMm = areaMm2 / plan.spacingMm;
        const counted = { areaMm2, pathLengthMm, passes: 1, pieces: 1 };
        return [{ ...regionTime(plan, counted, pathLengthMm / plan.feedMmPerMin), patch }];
      });
    }
  };
}

/** Height of each patch, mm, and length of a round about it: its border in plan counts above and below. */
function wallRounds(
  { positions, triangles }: ReachAnalysis['surface']['mesh'],
  twin: Int32Array,
  patchOf: Int32Array,
  count: number,
): readonly { readonly heightMm: number; readonly lengthMm: number }[] {
  const low = new Float64Array(count).fill(Infinity),
    high = new Float64Array(count).fill(-Infinity),
    border = new Float64Array(count);
  triangles.forEach((v, h) => {
    const p = patchOf[(h / 3) | 0];
    if (p < 0) return;
    low[p] = Math.min(low[p], positions[3 * v + 2]);
    high[p] = Math.max(high[p], positions[3 * v + 2]);
    if (twin[h] >= 0 && patchOf[(twin[h] / 3) | 0] === p) return;
    const w = triangles[nextCorner(h)];
    const dx = positions[3 * w] - positions[3 * v],
      dy = positions[3 * w + 1] - positions[3 * v + 1];
    border[p] += Math.sqrt(dx * dx + dy * dy);
  });
  return Array.from(border, (mm, p) => ({ heightMm: high[p] - low[p], lengthMm: mm / 2 }));
}

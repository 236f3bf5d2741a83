import type { Cutter } from '../cutter/catalogue.js';
import type { NotMilled, Plan, WorkAnswers } from '../plan/plan.js';
import { LEVEL_SINE } from '../time/pass-frame.js';
import type { WorkInput } from './assemble-plan.js';
import { millsOf } from './floors-and-walls.js';
import { deepRemedies, longerCutter, tightRemedies, undercutRemedies } from './remedies.js';

type Told = Pick<WorkAnswers, 'waysUp' | 'regions' | 'reach'>;

/** All that milling, or the catalogue, does not make, largest first, with what would. */
export function notMilled(input: WorkInput, plan: Told): NotMilled[] {
  const regions = regionsNotMade(input, plan);
  const places = [
    ...tooTight(input, plan),
    ...tooDeep(input, plan),
    ...tooShort(plan).filter((place) => !regions.some((region) => isPartOf(place, region))),
    ...regions,
  ];
  return places.sort((a, b) => b.areaMm2 - a.areaMm2);
}

/** Whether a place is told of with the region that it lies in: for want of the same cutter's length. */
const isPartOf = ({ kind, cutterId, boundsMm: { min, max } }: NotMilled, region: NotMilled): boolean =>
  region.kind === kind &&
  region.cutterId === cutterId &&
  min.every((low, k) => low >= region.boundsMm.min[k] - 1e-6 && max[k] <= region.boundsMm.max[k] + 1e-6);

/** Where a place of reach lies. */
const placed = ({
  id,
  areaMm2,
  centreMm,
  boundsMm,
  depthMm,
}: Pick<Plan['reach']['leftover'][number], 'id' | 'areaMm2' | 'centreMm' | 'boundsMm' | 'depthMm'>) => ({
  placeId: id,
  isRegion: false,
  areaMm2,
  centreMm: [...centreMm] as [number, number, number],
  boundsMm: { min: [...boundsMm.min], max: [...boundsMm.max] } as NotMilled['boundsMm'],
  depthMm,
});

const limitOf = (radiusMm: number): NotMilled['radiusMm'] => (radiusMm === Infinity ? 'unlimited' : radiusMm);
const numberOf = (limit: number | 'unlimited'): number => (limit === 'unlimited' ? Infinity : limit);

/** A ball of another radius, with the shank and the holder of one of the catalogue. */
const ballOf = (radiusMm: number, like: Cutter): Cutter => {
  const DC = 2 * radiusMm;
  return { ...like, DC, RE: radiusMm, APMX: Math.min(like.APMX, DC), DN: DC, DMM: Math.max(like.DMM, DC) };
};

/** In the foot of a wall a ball that does not get there is taken to stand below the floor, which it never does. */
const withinDepth = (
  stickoutMm: number,
  depthMm: number,
  { holderClearanceMm, stockMm }: WorkInput['setup'],
): number => Math.min(stickoutMm, depthMm + holderClearanceMm + stockMm);

function tooTight({ ladder, setup, probe }: WorkInput, { reach }: Told): NotMilled[] {
  const { leftover, last } = ladder;
  const isLevel = levelPatches(leftover);
  const hasFlatEnds = millsOf(setup).length > 0;
  const isWithin = (id: number): boolean =>
    probe.atPatch(last, leftover, id).lengthToDiameter <= setup.mostLengthToDiameter;
  return reach.leftover.map((place) => {
    const { id, areaMm2, depthMm, reachRadiusMm } = place;
    const mostlyMm = leftover.patches[id].mostlyReachRadiusMm - setup.stockMm;
    const spot = {
      radiusMm: numberOf(reachRadiusMm),
      mostlyMm: Math.max(0, mostlyMm),
      depthMm,
      areaMm2,
      isLevel: isLevel[id] === 1,
      takesFlatEnd: !hasFlatEnds && isWithin(id),
    };
    const reachOf = (radiusMm: number): number =>
      withinDepth(probe.atPatch(ballOf(radiusMm, last), leftover, id).stickoutMm, depthMm, setup);
    return {
      kind: 'too-tight',
      ...placed(place),
      radiusMm: reachRadiusMm,
      cutterId: null,
      stickoutMm: null,
      remedies: tightRemedies(spot, reachOf, setup.mostLengthToDiameter),
    };
  });
}

/** Of each patch whether any of its facets is level. */
function levelPatches({
  surface: { normals },
  patchOf,
  patches,
}: WorkInput['ladder']['leftover']): Uint8Array {
  const isLevel = new Uint8Array(patches.length);
  patchOf.forEach((patch, f) => {
    if (patch < 0) return;
    const facesUp = [0, 1, 2].every((k) => {
      const [x, y, z] = normals.subarray(9 * f + 3 * k, 9 * f + 3 * k + 3);
      return z > 0 && Math.abs(x) <= LEVEL_SINE && Math.abs(y) <= LEVEL_SINE;
    });
    if (facesUp) isLevel[patch] = 1;
  });
  return isLevel;
}

function tooDeep({ ladder, setup, probe }: WorkInput, { reach }: Told): NotMilled[] {
  return reach.tooDeep.map((place) => {
    const { id, depthMm, cutterId, stickoutMm } = place;
    const { reachRadiusMm, mostlyReachRadiusMm, cutter, corners } = ladder.tooDeep[id];
    const [radiusMm, mostlyMm] = [reachRadiusMm, mostlyReachRadiusMm].map((radius) =>
      Math.max(0, radius - setup.stockMm),
    );
    const reachOf = (radius: number): number =>
      withinDepth(probe.atCorners(ballOf(radius, cutter), corners).stickoutMm, depthMm, setup);
    return {
      kind: 'too-deep',
      ...placed(place),
      radiusMm: limitOf(radiusMm),
      cutterId,
      stickoutMm,
      remedies: deepRemedies(mostlyMm, cutter.DC / 2, reachOf, setup.mostLengthToDiameter),
    };
  });
}

/** Places that a cutter of the ladder finishes, if it were longer than it is. */
function tooShort({ reach }: Told): NotMilled[] {
  return reach.tightRegions.flatMap((place): NotMilled[] => {
    const { reachRadiusMm, cutterId, stickoutMm, lengthToDiameter } = place;
    if (!place.exceedsUsable || stickoutMm === null || lengthToDiameter === null) return [];
    return [
      {
        kind: 'too-short',
        ...placed(place),
        radiusMm: reachRadiusMm,
        cutterId,
        stickoutMm,
        remedies: [longerCutter(stickoutMm, lengthToDiameter)],
      },
    ];
  });
}

/** Regions that no tool from above sees, and those whose first cutter is too short somewhere. */
function regionsNotMade({ prepared, regions, zoned }: WorkInput, plan: Told): NotMilled[] {
  const top = prepared.health.boundsMm.max[2];
  const centres = regionCentres(regions, zoned.surface.mesh);
  return plan.regions.flatMap((region): NotMilled[] => {
    const { id, class: cls, areaMm2, boundsMm, exceedsUsable, stickoutMm, lengthToDiameter } = region;
    const isUnseen = cls === 'undercut' || cls === 'hidden';
    const isShort = exceedsUsable === true && stickoutMm !== null && lengthToDiameter !== null;
    if (!isUnseen && !isShort) return [];
    return [
      {
        kind: isUnseen ? cls : 'too-short',
        placeId: id,
        isRegion: true,
        areaMm2,
        centreMm: centres[id],
        boundsMm: { min: [...boundsMm.min], max: [...boundsMm.max] },
        depthMm: Math.max(0, top - boundsMm.min[2]),
        radiusMm: null,
        cutterId: isUnseen ? null : region.cutterId,
        stickoutMm: isUnseen ? null : stickoutMm,
        remedies: isShort ? [longerCutter(stickoutMm, lengthToDiameter)] : undercutRemedies(plan),
      },
    ];
  });
}

/** Of each region the middle of the facet that is nearest to the middle of its bounds, mm. */
function regionCentres(
  { regionOfFace, bounds, areas }: WorkInput['regions'],
  { positions, triangles }: WorkInput['zoned']['surface']['mesh'],
): [number, number, number][] {
  const centres = Array.from(areas, (): [number, number, number] => [0, 0, 0]),
    least = areas.map(() => Infinity);
  regionOfFace.forEach((region, f) => {
    if (region < 0) return;
    let off = 0;
    const at: [number, number, number] = [0, 0, 0];
    for (let i = 0; i < 3; i++) {
      for (let h = 3 * f; h < 3 * f + 3; h++) at[i] += positions[3 * triangles[h] + i] / 3;
      off += (at[i] - (bounds[6 * region + i] + bounds[6 * region + 3 + i]) / 2) ** 2;
    }
    if (off >= least[region]) return;
    least[region] = off;
    centres[region] = at;
  });
  return centres;
}

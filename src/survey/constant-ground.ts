import { CLASS_INDEX } from '../core/classes.js';
import { connectedRegions } from '../surface/connected-regions.js';
import type { Strategy } from '../time/finishing-surface.js';
import { passExtents } from '../time/pass-pieces.js';
import { facetMinutes, passTimes } from '../time/pass-time.js';
import { groundPlans, pieceMinutes, piecesOf, twoGrounds } from './pass-grounds.js';
import type { GroundsInput, PassGround, PassGrounds, TwoGrounds } from './pass-grounds.js';

/** Curvature from which a facet is not plane, 1/mm: a bow of 5 µm over 20 mm. */
const CURVED = 1e-4;
/** More of a region is curved; the first half degree of a rounding is not. */
const CURVED_SHARE = 0.9;
/** Where neither of the other passes would lay more lines over a patch, it is cut at constant spacing anyhow. */
const FEW_LINES = 3;
const FOLLOWING: Strategy = { kind: 'following' };

/**
 * The pieces of all passes. Small patches of regions that are curved throughout are cut by lines at one distance along
 * the surface, where that is faster than both other passes, or these would lay a few lines each. An overlap stays with
 * a pass that goes on beside it.
 */
export function passGrounds(input: GroundsInput): PassGrounds {
  const whole = twoGrounds(input, () => false);
  const { regionOfFace: patchOf, count } = curvedPatches(input);
  const isChosen = count === 0 ? [] : chosenPatches(input, whole, patchOf, count);
  const labels = patchOf.map((patch) => (isChosen[patch] ? patch : -1));
  const constant = piecesOf(input, FOLLOWING, connectedRegions(input.surface.topology, labels)),
    ground: PassGround = { ...constant, uncut: constant };
  const none = new Set<number>();
  if (ground.where.count === 0)
    return { ...whole, constant: ground, constantRegions: none, leftBy: { waterline: none, raster: none } };
  const constantRegions = new Set<number>();
  labels.forEach((patch, f) => {
    if (patch >= 0) constantRegions.add(input.regionOfFace[f]);
  });
  const leftBy = {
    waterline: leftOf(input, constantRegions, [CLASS_INDEX.steep]),
    raster: leftOf(input, constantRegions, [CLASS_INDEX.level, CLASS_INDEX.shallow]),
  };
  return {
    ...twoGrounds(input, (pass, f) => leftBy[pass].has(input.regionOfFace[f])),
    constant: ground,
    constantRegions,
    leftBy,
  };
}

/** What hangs together of regions that are curved throughout, and is no larger than the set-up allows. */
function curvedPatches({ surface, finishing, regionOfFace, patchOf, setup }: GroundsInput) {
  const { areas, curvature } = finishing;
  const area = new Map<number, { mm2: number; curvedMm2: number }>();
  regionOfFace.forEach((region, f) => {
    if (region < 0 || finishing.classOf[f] > CLASS_INDEX.steep) return;
    const own = area.get(region) ?? { mm2: 0, curvedMm2: 0 };
    own.mm2 += areas[f];
    if (patchOf[f] < 0 && bendOf(curvature, f) > CURVED) own.curvedMm2 += areas[f];
    area.set(region, own);
  });
  const labels = regionOfFace.map((region) => {
    const own = area.get(region);
    return own !== undefined && own.curvedMm2 > CURVED_SHARE * own.mm2 ? 0 : -1;
  });
  const found = connectedRegions(surface.topology, labels);
  const mm2 = new Float64Array(found.count);
  found.regionOfFace.forEach((patch, f) => {
    if (patch >= 0) mm2[patch] += areas[f];
  });
  let next = 0;
  const kept = Array.from(mm2, (own) => (own <= setup.constantSpacingMm2 ? next++ : -1));
  return { regionOfFace: found.regionOfFace.map((patch) => (patch < 0 ? -1 : kept[patch])), count: next };
}

const bendOf = (curvature: Float64Array | undefined, f: number): number =>
  curvature === undefined
    ? 0
    : Math.abs(curvature[6 * f]) + Math.abs(curvature[6 * f + 1]) + Math.abs(curvature[6 * f + 2]);

/** Which patches are cut at constant spacing. */
function chosenPatches(
  input: GroundsInput,
  whole: TwoGrounds,
  patchOf: Int32Array,
  count: number,
): boolean[] {
  const { finishing, surface } = input;
  const both = new Float64Array(count),
    lines = new Float64Array(count);
  for (const ground of [whole.waterline, whole.raster]) {
    const { where, extents, strategy } = ground,
      plans = groundPlans(ground, input);
    if (where.count === 0) continue;
    const times = passTimes(finishing, where, plans, extents);
    const cutting = facetMinutes(finishing, plans[0]);
    pieceMinutes(cutting, finishing.areas, where, (piece) => times[piece].minutes, patchOf, both);
    const regionOf = patchOf.map((patch, f) => (where.regionOf[f] < 0 ? -1 : patch));
    const step = new Float64Array(count).fill(Infinity);
    regionOf.forEach((patch, f) => {
      if (patch >= 0) step[patch] = Math.min(step[patch], plans[where.regionOf[f]].spacingMm);
    });
    passExtents({ ...surface, regionOf, count }, strategy).across.forEach((mm, patch) => {
      if (step[patch] < Infinity) lines[patch] = Math.max(lines[patch], mm / step[patch]);
    });
  }
  const constant = piecesOf(input, FOLLOWING, { regionOfFace: patchOf, count });
  const own = passTimes(finishing, constant.where, groundPlans(constant, input), constant.extents);
  return own.map(({ minutes }, patch) => minutes < both[patch] || lines[patch] <= FEW_LINES);
}

/** Of some regions those that a pass leaves: all but an overlap beside other ground of its own. */
function leftOf(
  { surface, finishing, regionOfFace }: GroundsInput,
  regions: ReadonlySet<number>,
  own: readonly number[],
): ReadonlySet<number> {
  const left = new Set(regions);
  surface.topology.twin.forEach((t, h) => {
    const f = (h / 3) | 0,
      g = t < 0 ? -1 : (t / 3) | 0;
    if (g < 0 || finishing.classOf[f] !== CLASS_INDEX.overlap || regions.has(regionOfFace[g])) return;
    if (own.includes(finishing.classOf[g])) left.delete(regionOfFace[f]);
  });
  return left;
}

import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Finding } from '../core/findings.js';
import { DEG_PER_RAD, RAD_PER_DEG } from '../core/units.js';
import type { Cutter } from '../cutters/catalogue.js';
import type { Surface } from '../mesh/types.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../setup.js';
import { cuttingDataFor } from '../time/cutting-data.js';
import { spindleAndFeed } from '../time/cutting-speed.js';
import { facetCurvatures } from '../time/facet-curvature.js';
import { passMask, type FinishingSurface, type Strategy } from '../time/finishing-surface.js';
import { passTimes, totalPassTime, type PassTime } from '../time/pass-time.js';
import { facetScallops } from '../time/path-length.js';
import { scallopSpacing } from '../time/scallop.js';
import { connectedRegions } from '../zones/connected-regions.js';

/** Stock that the semi-finish leaves for the finish, mm (common practice, no source). */
const FINISH_ALLOWANCE_MM = 0.1;

/** Facets with what time needs: mean normals, curvature. */
export function finishingSurface(surface: Surface, labels: Uint8Array, areas: Float64Array): FinishingSurface {
  const { mesh: { positions, triangles }, normals } = surface;
  const mean = new Float64Array(3 * areas.length), corners = new Float64Array(9 * areas.length);
  for (let f = 0; f < areas.length; f++) {
    for (let i = 0; i < 3; i++) {
      mean[3 * f + i] = normals[9 * f + i] + normals[9 * f + 3 + i] + normals[9 * f + 6 + i];
      for (let k = 0; k < 3; k++) corners[9 * f + 3 * k + i] = positions[3 * triangles[3 * f + k] + i];
    }
    const x = mean[3 * f], y = mean[3 * f + 1], z = mean[3 * f + 2];
    const length = Math.sqrt(x * x + y * y + z * z);
    if (length > 0) for (let i = 0; i < 3; i++) mean[3 * f + i] /= length;
  }
  return { normals: mean, areas, classOf: labels, curvature: facetCurvatures(corners, normals) };
}

/** Steps between passes, mm: as asked, else from the scallop height on flat ground and vertical wall. */
export function passSteps(setup: Setup, cutter: Cutter): { readonly stepoverMm: number; readonly stepdownMm: number } {
  const ofScallop = scallopSpacing(cutter.RE, setup.scallopMm);
  // On a slope of 45 degrees both steps stand on the surface 1.41 times as far apart as they measure: laid out for
  // that slope, the asked scallop holds everywhere on the pass's own side of it.
  const worst = Math.cos(45 * RAD_PER_DEG);
  return {
    stepoverMm: setup.stepoverMm ?? ofScallop * worst,
    stepdownMm: setup.stepdownMm ?? ofScallop * worst,
  };
}

/** Feed of a finishing pass, held to the machine's limits, and what was assumed for it. */
export function finishingFeed(
  setup: Setup, cutter: Cutter, spacingMm: number, steepestRad: number,
): { readonly feedMmPerMin: number; readonly findings: readonly Finding[] } {
  const data = cuttingDataFor(setup.cuttingData, setup.material, 'finish', cutter.DC);
  const engagement = { apMm: FINISH_ALLOWANCE_MM, aeMm: spacingMm, wallAngleRad: steepestRad };
  const { feedMmPerMin } = spindleAndFeed(cutter, data, engagement, setup.machine);
  return { feedMmPerMin, findings: data.findings };
}

export interface PassesInput {
  readonly surface: Surface;
  readonly finishing: FinishingSurface;
  readonly setup: Setup;
  readonly cutter: Cutter;
  readonly splitDeg: number;
  readonly rasterRad: number;
}

export interface FinishingPasses {
  readonly plan: Plan['passes'];
  readonly findings: readonly Finding[];
}

/** Both finishing passes of one cutter over the whole machinable surface. */
export function finishingPasses(input: PassesInput): FinishingPasses {
  const { setup, cutter, splitDeg, rasterRad } = input;
  const steps = passSteps(setup, cutter);
  const splitEndRad = Math.min(90, splitDeg + setup.overlapDeg) * RAD_PER_DEG;
  const waterline = onePass(input, { kind: 'waterline' }, steps.stepdownMm, 90 * RAD_PER_DEG);
  const raster = onePass(input, { kind: 'raster', feedRad: rasterRad }, steps.stepoverMm, splitEndRad);
  return {
    plan: {
      waterline: waterline.plan,
      raster: { ...raster.plan, directionDeg: rasterRad * DEG_PER_RAD },
    },
    findings: raster.findings,
  };
}

function onePass(
  { surface, finishing, setup, cutter }: PassesInput, strategy: Strategy, spacingMm: number, steepestRad: number,
): { readonly plan: Plan['passes']['waterline']; readonly findings: readonly Finding[] } {
  const mask = passMask(finishing.classOf, strategy.kind);
  const { feedMmPerMin, findings } = finishingFeed(setup, cutter, spacingMm, steepestRad);
  const time = maskedTime(surface, finishing, mask, {
    strategy, spacingMm, cutter, feedMmPerMin, machine: setup.machine,
  });
  const scallops = facetScallops(finishing, strategy, spacingMm, cutter);
  let most = 0;
  mask.forEach((inPass, f) => { if (inPass && finishing.areas[f] > 0) most = Math.max(most, scallops[f]); });
  return {
    plan: {
      areaMm2: time.areaMm2, spacingMm, pathLengthMm: time.pathLengthMm,
      maxScallopMm: Number.isFinite(most) ? most : null, minutes: time.minutes,
    },
    findings,
  };
}

/** Time of a pass over the facets of a mask, each connected patch cut by itself. */
export function maskedTime(
  surface: Surface, finishing: FinishingSurface, mask: Uint8Array, plan: Parameters<typeof passTimes>[2],
): PassTime {
  const { regionOfFace, count } = connectedRegions(surface.topology, Int32Array.from(mask, (m) => m - 1));
  const where = { mesh: surface.mesh, topology: surface.topology, regionOf: regionOfFace, count };
  return totalPassTime(passTimes(finishing, where, plan));
}

/** 1 where a facet is machinable and some of it is in `share`. */
export function restMask(labels: Uint8Array, share: Float64Array): Uint8Array {
  return labels.map((label, f) => (label < MACHINABLE_CLASSES && share[f] > 0 ? 1 : 0));
}

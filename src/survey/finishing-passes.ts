import { runningSum } from '../core/sum.js';
import { DEG_PER_RAD } from '../core/units.js';
import type { Finding } from '../core/findings.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Surface } from '../part/types.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { facetCurvatures } from '../time/facet-curvature.js';
import { passMask, type FinishingSurface } from '../time/finishing-surface.js';
import type { CutRegions } from '../time/pass-pieces.js';
import { passTimes, totalPassTime } from '../time/pass-time.js';
import { facetScallops } from '../time/path-length.js';
import { theoreticalRoughness } from '../time/roughness.js';
import { ABOVE } from '../write/ridge-bands.js';
import { connectedRegions } from '../surface/connected-regions.js';
import { groundPlans, type PASSES, type PassGround, type PassGrounds } from './pass-grounds.js';
import {
  bothPasses,
  constantPass,
  finishingFeed,
  type FinishingPass,
  type PassLayout,
} from './pass-layout.js';

/** Facets with what time needs: mean normals, curvature. */
export function finishingSurface(
  surface: Surface,
  labels: Uint8Array,
  areas: Float64Array,
): FinishingSurface {
  const { mesh, normals } = surface;
  const mean = new Float64Array(3 * areas.length);
  for (let f = 0, m = 0, n = 0; f < areas.length; f++, m += 3, n += 9) {
    const x = normals[n] + normals[n + 3] + normals[n + 6],
      y = normals[n + 1] + normals[n + 4] + normals[n + 7];
    const z = normals[n + 2] + normals[n + 5] + normals[n + 8];
    const length = Math.sqrt(x * x + y * y + z * z) || 1;
    mean[m] = x / length;
    mean[m + 1] = y / length;
    mean[m + 2] = z / length;
  }
  return { normals: mean, areas, classOf: labels, curvature: facetCurvatures(mesh, normals) };
}

/** What a cutter reaches of a surface. @param left (F) share of each facet that it leaves */
export const reachedSurface = (finishing: FinishingSurface, left: Float64Array): FinishingSurface => ({
  ...finishing,
  areas: finishing.areas.map((area, f) => area * (1 - left[f])),
});

export interface PassesInput {
  /** its areas those that the cutter reaches */
  readonly finishing: FinishingSurface;
  readonly setup: Setup;
  readonly cutter: Cutter;
  readonly layout: PassLayout;
  readonly grounds: PassGrounds;
}

/** A pass as the plan tells it, but for what makes it long. */
type PassFigures = Omit<Plan['passes']['waterline'], 'cutApart'>;

export interface FinishingPasses {
  readonly plan: Readonly<Record<(typeof PASSES)[number], PassFigures>> & {
    readonly raster: { readonly directionDeg: number };
  };
  /** (F) ridge that each pass leaves, mm; Infinity: its passes do not meet; NaN: it does not cut there */
  readonly scallops: Readonly<Record<(typeof PASSES)[number], Float64Array>>;
  readonly laid: Readonly<Record<'waterline' | 'raster', LaidPass>>;
  readonly findings: readonly Finding[];
}

/** In which steps a pass is laid. */
export interface LaidPass {
  /** (F) piece of each facet; -1: not cut */
  readonly pieceOf: Int32Array;
  /** (pieces) mm */
  readonly stepsMm: readonly number[];
}

/** All finishing passes of one cutter over what it reaches of the machinable surface. */
export function finishingPasses(input: PassesInput): FinishingPasses {
  const { layout, cutter, grounds } = input;
  const [waterline, raster] = bothPasses(layout, cutter).map((pass) =>
    pass.strategy.kind === 'waterline'
      ? onePass(input, pass, grounds.waterline, layout.gradients.waterline)
      : onePass(input, pass, grounds.raster, layout.gradients.raster),
  );
  const constant = onePass(input, constantPass(layout, cutter), grounds.constant, 1);
  return {
    plan: {
      waterline: waterline.plan,
      raster: { ...raster.plan, directionDeg: layout.rasterRad * DEG_PER_RAD },
      constant: constant.plan,
    },
    scallops: {
      waterline: waterline.scallops,
      raster: raster.scallops,
      constant: constant.scallops,
    },
    laid: { waterline: waterline.laid, raster: raster.laid },
    findings: raster.findings,
  };
}

function onePass(
  input: PassesInput,
  { strategy, spacingMm, steepestRad }: FinishingPass,
  ground: PassGround,
  gradient: number,
): {
  readonly plan: PassFigures;
  readonly scallops: Float64Array;
  readonly laid: LaidPass;
  readonly findings: readonly Finding[];
} {
  const { finishing, setup, cutter } = input;
  const { regionOf } = ground.where;
  const mask = passMask(finishing.classOf, strategy.kind).map((isIn, f) => (regionOf[f] < 0 ? 0 : isIn));
  const { feedMmPerMin, findings } = finishingFeed(setup, cutter, spacingMm, steepestRad);
  const plans = groundPlans(ground, input),
    times = passTimes(finishing, ground.where, plans, ground.extents),
    // Pieces of which it reaches nothing have extents all the same.
    time = totalPassTime(times.filter(({ areaMm2 }) => areaMm2 > 0));
  const cut = plans.filter((_, piece) => times[piece].areaMm2 > 0).map((plan) => plan.spacingMm);
  const scallops = facetScallops(
    finishing,
    strategy,
    (f) => plans[regionOf[f]]?.spacingMm ?? spacingMm,
    cutter,
  );
  return {
    plan: {
      areaMm2: time.areaMm2,
      spacingMm: cut.reduce((least, mm) => Math.min(least, mm), cut[0] ?? spacingMm),
      widestSpacingMm: cut.reduce((most, mm) => Math.max(most, mm), cut[0] ?? spacingMm),
      pathLengthMm: time.pathLengthMm,
      minutes: time.minutes,
      ...ridgesOf(scallops, mask, finishing.areas, setup.scallopMm),
      ...roughness(cutter, spacingMm, gradient),
      feedMmPerMin,
      passCount: time.passes,
      pieces: time.pieces,
      links: time.links,
      airMoves: time.airMoves,
      naiveMinutes: time.naiveMinutes,
      dynamicMinutes: time.dynamicMinutes,
    },
    scallops,
    laid: { pieceOf: regionOf, stepsMm: plans.map((plan) => plan.spacingMm) },
    findings,
  };
}

/** The highest ridge of a pass, and how much surface has ridges above the asked height; elsewhere scallops become NaN. */
function ridgesOf(
  scallops: Float64Array,
  mask: Uint8Array,
  areas: Float64Array,
  askedMm: number,
): Pick<PassFigures, 'maxScallopMm' | 'areaAboveScallopMm2'> {
  const above = runningSum();
  let most = 0;
  mask.forEach((inPass, f) => {
    if (!inPass) scallops[f] = NaN;
    if (!inPass || !(areas[f] > 0)) return;
    most = Math.max(most, scallops[f]);
    if (scallops[f] > ABOVE * askedMm) above.add(areas[f]);
  });
  return { maxScallopMm: Number.isFinite(most) ? most : null, areaAboveScallopMm2: above.value() };
}

/**
 * Of the scallops alone, on a plane as flat to the pass as its worst place; null where passes do not meet.
 */
function roughness(
  cutter: Cutter,
  spacingMm: number,
  gradient: number,
): { readonly theoreticalRaMm: number | null; readonly theoreticalRzMm: number | null } {
  const onSurface = gradient === Infinity ? spacingMm : spacingMm / gradient;
  if (!(onSurface <= 2 * cutter.RE)) return { theoreticalRaMm: null, theoreticalRzMm: null };
  return theoreticalRoughness(cutter.RE, onSurface);
}

/** Connected patches of the facets of a mask, each cut by itself, and so is each floor and wall. */
export function regionsOf(surface: Surface, mask: Uint8Array, patchOf?: Int32Array): CutRegions {
  const labels = new Int32Array(mask.length);
  for (let f = 0; f < labels.length; f++) labels[f] = mask[f] === 0 ? -1 : (patchOf?.[f] ?? -1) + 1;
  const { regionOfFace, count } = connectedRegions(surface.topology, labels);
  return { mesh: surface.mesh, topology: surface.topology, regionOf: regionOfFace, count };
}

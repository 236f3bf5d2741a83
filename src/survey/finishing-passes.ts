import { CLASS_INDEX } from '../core/classes.js';
import type { Finding } from '../core/findings.js';
import { runningSum } from '../core/sum.js';
import { DEG_PER_RAD, RAD_PER_DEG } from '../core/units.js';
import type { Cutter, Stage } from '../cutter/catalogue.js';
import type { Surface } from '../part/types.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { cuttingDataFor } from '../time/cutting-data.js';
import { spindleAndFeed } from '../time/cutting-speed.js';
import { facetCurvatures } from '../time/facet-curvature.js';
import { passMask, type FinishingSurface, type Strategy } from '../time/finishing-surface.js';
import { LEVEL_SINE } from '../time/pass-frame.js';
import type { CutRegions } from '../time/pass-pieces.js';
import {
  leastGradient,
  sideGradient,
  stepdownAt,
  stepoverAt,
  type SideGradients,
  type Steps,
} from '../time/pass-steps.js';
import { passTimes, totalPassTime } from '../time/pass-time.js';
import { facetScallops } from '../time/path-length.js';
import { theoreticalRoughness } from '../time/roughness.js';
import { ABOVE } from '../write/ridge-bands.js';
import { connectedRegions } from '../surface/connected-regions.js';
import { wallAngle } from '../zones/cut-angles.js';

/** What passes take off, and by which rows of the cutting data. */
export interface PassWork {
  readonly stage: Stage;
  /** square to the surface, mm */
  readonly apMm: number;
}

/** Finishing takes what the semi-finish leaves, mm (common practice, no source). */
export const FINISH_ALLOWANCE_MM = 0.1;
const FINISH_WORK: PassWork = { stage: 'finish', apMm: FINISH_ALLOWANCE_MM };

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

/** How the finishing passes are laid: the same for every cutter. */
export interface PassLayout {
  readonly splitRad: number;
  /** where the raster ends */
  readonly splitEndRad: number;
  readonly rasterRad: number;
  readonly steps: Steps;
  readonly gradients: SideGradients;
  /** left out: finishing */
  readonly work?: PassWork;
}

/**
 * Wall angle at which the raster ends, rad: split and overlap together; where the overlap is a distance along
 * the surface, the steepest place that it came to.
 */
export function splitEnd(
  { normals, areas, classOf }: FinishingSurface,
  setup: Setup,
  splitDeg: number,
): number {
  if (setup.overlapMm === null) return Math.min(90, splitDeg + setup.overlapDeg) * RAD_PER_DEG;
  let steepest = splitDeg * RAD_PER_DEG;
  for (let f = 0; f < areas.length; f++) {
    if (classOf[f] !== CLASS_INDEX.overlap || !(areas[f] > 0)) continue;
    steepest = Math.max(steepest, wallAngle(normals[3 * f], normals[3 * f + 1], normals[3 * f + 2]));
  }
  return Math.min(Math.PI / 2, steepest);
}

/**
 * The overlap as an angle, rad, for what is asked of splits other than the one that was cut. A distance
 * counts as the angle over the split within which as much surface lies as the distance covers.
 */
export function overlapAngle(
  { normals, areas, classOf }: FinishingSurface,
  setup: Setup,
  splitDeg: number,
): number {
  if (setup.overlapMm === null) return setup.overlapDeg * RAD_PER_DEG;
  const splitRad = splitDeg * RAD_PER_DEG;
  const beyond: { readonly rad: number; readonly area: number }[] = [];
  let left = 0;
  for (let f = 0; f < areas.length; f++) {
    if (classOf[f] !== CLASS_INDEX.overlap && classOf[f] !== CLASS_INDEX.steep) continue;
    beyond.push({ rad: wallAngle(normals[3 * f], normals[3 * f + 1], normals[3 * f + 2]), area: areas[f] });
    if (classOf[f] === CLASS_INDEX.overlap) left += areas[f];
  }
  beyond.sort((a, b) => a.rad - b.rad);
  for (const { rad, area } of beyond) {
    left -= area;
    if (left <= 1e-9) return Math.max(0, rad - splitRad);
  }
  return 0;
}

/** Steps as the set-up asks for them. */
export function askedSteps({ stepdownMm, stepoverMm, scallopMm }: Setup): Steps {
  if (stepdownMm !== null && stepoverMm !== null) return { kind: 'fixed', stepdownMm, stepoverMm };
  return {
    kind: 'scallop',
    heightMm: scallopMm,
    ...(stepdownMm === null ? {} : { stepdownMm }),
    ...(stepoverMm === null ? {} : { stepoverMm }),
  };
}

/**
 * |∇f| of the raster on its steepest ground; half a degree short of a wall at most, where its step would be
 * 0.
 */
export const borderGradient = (splitEndRad: number): number => Math.max(LEVEL_SINE, Math.cos(splitEndRad));

/** Where both passes run, and the flattest and steepest place that sets their steps. */
export function passLayout(
  finishing: FinishingSurface,
  setup: Setup,
  splitDeg: number,
  rasterRad: number,
): PassLayout {
  const splitRad = splitDeg * RAD_PER_DEG,
    splitEndRad = splitEnd(finishing, setup, splitDeg);
  const least = (strategy: Strategy): number =>
    leastGradient(finishing, passMask(finishing.classOf, strategy.kind), strategy);
  return {
    splitRad,
    splitEndRad,
    rasterRad,
    steps: askedSteps(setup),
    gradients: {
      waterline: sideGradient(least({ kind: 'waterline' }), Math.max(LEVEL_SINE, Math.sin(splitRad))),
      raster: sideGradient(least({ kind: 'raster', feedRad: rasterRad }), borderGradient(splitEndRad)),
    },
  };
}

/** Feed of a pass, held to the machine's limits, and what was assumed for it. */
export function finishingFeed(
  setup: Setup,
  cutter: Cutter,
  spacingMm: number,
  steepestRad: number,
  { stage, apMm }: PassWork = FINISH_WORK,
): { readonly feedMmPerMin: number; readonly findings: readonly Finding[] } {
  const data = cuttingDataFor(setup.cuttingData, setup.material, stage, cutter.DC);
  const engagement = { apMm, aeMm: spacingMm, wallAngleRad: steepestRad };
  const { feedMmPerMin } = spindleAndFeed(cutter, data, engagement, setup.machine);
  return { feedMmPerMin, findings: data.findings };
}

/** The two passes of a cutter: strategy, step, steepest place. */
export function bothPasses(
  { steps, gradients, splitEndRad, rasterRad }: PassLayout,
  cutter: Cutter,
): readonly { readonly strategy: Strategy; readonly spacingMm: number; readonly steepestRad: number }[] {
  return [
    {
      strategy: { kind: 'waterline' },
      spacingMm: stepdownAt(steps, cutter, gradients.waterline),
      steepestRad: Math.PI / 2,
    },
    {
      strategy: { kind: 'raster', feedRad: rasterRad },
      spacingMm: stepoverAt(steps, cutter, gradients.raster),
      steepestRad: splitEndRad,
    },
  ];
}

export interface PassesInput {
  readonly surface: Surface;
  /** its areas those that the cutter reaches */
  readonly finishing: FinishingSurface;
  readonly setup: Setup;
  readonly cutter: Cutter;
  readonly layout: PassLayout;
  /** (F) floors and walls, each cut by itself; -1: none */
  readonly patchOf: Int32Array;
}

/** A pass as the plan tells it, but for what makes it long. */
type PassFigures = Omit<Plan['passes']['waterline'], 'stepSetBy'>;

export interface FinishingPasses {
  readonly plan: Readonly<Record<'waterline' | 'raster', PassFigures>> & {
    readonly raster: { readonly directionDeg: number };
  };
  /** (F) ridge that each pass leaves, mm; Infinity: its passes do not meet; NaN: it does not cut there */
  readonly scallops: { readonly waterline: Float64Array; readonly raster: Float64Array };
  readonly findings: readonly Finding[];
}

/** Both finishing passes of one cutter over what it reaches of the machinable surface. */
export function finishingPasses(input: PassesInput): FinishingPasses {
  const { layout, cutter } = input;
  const [waterline, raster] = bothPasses(layout, cutter).map((pass) =>
    onePass(
      input,
      pass.strategy,
      pass.spacingMm,
      pass.steepestRad,
      pass.strategy.kind === 'waterline' ? layout.gradients.waterline : layout.gradients.raster,
    ),
  );
  return {
    plan: {
      waterline: waterline.plan,
      raster: { ...raster.plan, directionDeg: layout.rasterRad * DEG_PER_RAD },
    },
    scallops: { waterline: waterline.scallops, raster: raster.scallops },
    findings: raster.findings,
  };
}

function onePass(
  { surface, finishing, setup, cutter, patchOf }: PassesInput,
  strategy: Strategy,
  spacingMm: number,
  steepestRad: number,
  gradient: number,
): {
  readonly plan: PassFigures;
  readonly scallops: Float64Array;
  readonly findings: readonly Finding[];
} {
  const mask = passMask(finishing.classOf, strategy.kind);
  const { feedMmPerMin, findings } = finishingFeed(setup, cutter, spacingMm, steepestRad);
  const time = totalPassTime(
    passTimes(finishing, regionsOf(surface, mask, patchOf), {
      strategy,
      spacingMm,
      cutter,
      feedMmPerMin,
      machine: setup.machine,
    }),
  );
  const scallops = facetScallops(finishing, strategy, spacingMm, cutter);
  const above = runningSum();
  let most = 0;
  mask.forEach((inPass, f) => {
    if (!inPass) scallops[f] = NaN;
    if (!inPass || !(finishing.areas[f] > 0)) return;
    most = Math.max(most, scallops[f]);
    if (scallops[f] > ABOVE * setup.scallopMm) above.add(finishing.areas[f]);
  });
  return {
    plan: {
      areaMm2: time.areaMm2,
      spacingMm,
      pathLengthMm: time.pathLengthMm,
      maxScallopMm: Number.isFinite(most) ? most : null,
      minutes: time.minutes,
      areaAboveScallopMm2: above.value(),
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
    findings,
  };
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

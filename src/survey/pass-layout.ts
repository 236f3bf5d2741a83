import { CLASS_INDEX } from '../core/classes.js';
import type { Finding } from '../core/findings.js';
import { RAD_PER_DEG } from '../core/units.js';
import type { Cutter, Stage } from '../cutter/catalogue.js';
import type { Setup } from '../resolve-setup.js';
import { cuttingDataFor } from '../time/cutting-data.js';
import { spindleAndFeed } from '../time/cutting-speed.js';
import { passMask, type FinishingSurface, type Strategy } from '../time/finishing-surface.js';
import { LEVEL_SINE } from '../time/pass-frame.js';
import {
  leastGradient,
  sideGradient,
  stepdownAt,
  stepoverAt,
  type SideGradients,
  type Steps,
} from '../time/pass-steps.js';
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

/** |∇f| of each pass where it ends; half a degree short of level ground and of a wall, where its step would be 0. */
export const borderGradients = ({
  splitRad,
  splitEndRad,
}: Pick<PassLayout, 'splitRad' | 'splitEndRad'>): SideGradients => ({
  waterline: Math.max(LEVEL_SINE, Math.sin(splitRad)),
  raster: Math.max(LEVEL_SINE, Math.cos(splitEndRad)),
});

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
  const border = borderGradients({ splitRad, splitEndRad });
  return {
    splitRad,
    splitEndRad,
    rasterRad,
    steps: askedSteps(setup),
    gradients: {
      waterline: sideGradient(least({ kind: 'waterline' }), border.waterline),
      raster: sideGradient(least({ kind: 'raster', feedRad: rasterRad }), border.raster),
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

/** A pass of one cutter: strategy, least step, steepest place. */
export interface FinishingPass {
  readonly strategy: Strategy;
  readonly spacingMm: number;
  readonly steepestRad: number;
}

/** Lines at one distance along the surface: the step that the scallop allows on a plane. */
export const constantPass = ({ steps }: PassLayout, cutter: Cutter): FinishingPass => ({
  strategy: { kind: 'following' },
  spacingMm: stepoverAt(steps, cutter, 1),
  steepestRad: Math.PI / 2,
});

/** The two passes of a cutter. */
export function bothPasses(
  { steps, gradients, splitEndRad, rasterRad }: PassLayout,
  cutter: Cutter,
): readonly FinishingPass[] {
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

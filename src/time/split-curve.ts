import { checkLengths } from '../core/check-lengths.js';
import type { CutterShape, FinishingSurface, Strategy } from './finishing-surface.js';
import type { Machine } from './machine.js';
import { facetMinutes } from './pass-time.js';
import { maskedTotal } from './path-length.js';
import { sideGradient, stepdownAt, stepoverAt, type Steps } from './pass-steps.js';
import { cumulateByAngle, type AngleTable } from './angle-table.js';

export interface SplitInput {
  readonly surface: FinishingSurface;
  /** (F) 1 for the facets to finish: the machinable ones */
  readonly mask: Uint8Array;
  /** (3 F) wall angle at each corner, rad: spreads a facet over the angles it spans */
  readonly cornerAngles: Float64Array;
  readonly steps: Steps;
  readonly cutter: CutterShape;
  readonly feedMmPerMin: { readonly waterline: number; readonly raster: number };
  /** direction of the raster in plan */
  readonly rasterFeedRad: number;
  readonly overlapRad: number;
  readonly machine: Machine;
}

/** Both passes for one split angle. `Infinity` minutes: it would take a step of 0. */
export interface SplitPoint {
  readonly angleRad: number;
  readonly minutes: number;
  readonly waterlineMinutes: number;
  readonly rasterMinutes: number;
  readonly stepdownMm: number;
  readonly stepoverMm: number;
}

/** Wall angle at which passes of these steps leave equal scallops: `tan θ = stepdown / stepover`, rad. */
export const equalScallopAngle = (stepdownMm: number, stepoverMm: number): number =>
  Math.atan2(stepdownMm, stepoverMm);

/** Split angles from 0 to 90 degrees in whole degrees, rad. */
const WHOLE_DEGREES: readonly number[] = Array.from({ length: 91 }, (_, i) => (i * Math.PI) / 180);

/**
 * Minutes of finishing against the split angle. The waterline cuts from the split up, the raster up to
 * split + overlap, so the overlap counts twice. Cutting only: links depend on the outlines of each split.
 *
 * Minutes go with 1/step, so each facet is timed once, at a step of 1 mm, and sorted into the angles between
 * the candidates; running sums give the whole curve. For an asked scallop height each pass takes the step
 * that its worst place allows, `spacing · min |∇f|`.
 *
 * @throws {RangeError} for arrays that do not agree, or a scallop asked of a flat end
 */
export function splitCurve(input: SplitInput) {
  const { overlapRad, mask, steps, cutter } = input;
  checkLengths('splitCurve', { 'places in the mask': [mask.length, input.surface.areas.length] });
  const up = tableOf(input, { kind: 'waterline' }, WHOLE_DEGREES);
  const across = tableOf(
    input,
    { kind: 'raster', feedRad: input.rasterFeedRad },
    WHOLE_DEGREES.map((angle) => angle + overlapRad),
  );
  const point = (angleRad: number, waterline: PassShare, raster: PassShare): SplitPoint => {
    const stepdownMm = stepdownAt(steps, cutter, waterline.gradient);
    const stepoverMm = stepoverAt(steps, cutter, raster.gradient);
    const waterlineMinutes = minutesAt(waterline, stepdownMm),
      rasterMinutes = minutesAt(raster, stepoverMm);
    return {
      angleRad,
      minutes: waterlineMinutes + rasterMinutes,
      waterlineMinutes,
      rasterMinutes,
      stepdownMm,
      stepoverMm,
    };
  };
  const points = WHOLE_DEGREES.map((angleRad, i) => {
    const top = Math.min(Math.PI / 2, angleRad + overlapRad);
    return point(angleRad, above(up, i + 1, Math.sin(angleRad)), below(across, i, Math.cos(top)));
  });
  const fastest = points.reduce((best, at) => (isFaster(at, best) ? at : best));
  const all = point(0, above(up, 0, 0), below(across, WHOLE_DEGREES.length, 0));
  const following = facetMinutes(input.surface, planOf(input, { kind: 'following' }));
  return {
    /** from 0 to 90 degrees in whole degrees */
    points,
    /** the lowest point; of equals the one nearest 45 degrees */
    fastest,
    /** one strategy for everything, minutes; `Infinity` where some of it stays uncut or takes a step of 0 */
    single: {
      waterline: all.waterlineMinutes,
      raster: all.rasterMinutes,
      following: maskedTotal(following, mask) / stepoverAt(steps, cutter, 1),
    },
  };
}

/** Minutes at a step of 1 mm of the facets that a pass cuts, and the smallest |∇f| among them. */
interface PassShare {
  readonly unitMinutes: number;
  readonly gradient: number;
}

function tableOf(input: SplitInput, strategy: Strategy, borders: readonly number[]): AngleTable {
  const gradients = new Float64Array(input.mask.length);
  const minutes = facetMinutes(input.surface, planOf(input, strategy), undefined, gradients);
  return cumulateByAngle({
    mask: input.mask,
    minutes,
    gradients,
    borders,
    cornerAngles: input.cornerAngles,
  });
}

const planOf = (input: SplitInput, strategy: Strategy) => ({
  strategy,
  spacingMm: 1,
  cutter: input.cutter,
  machine: input.machine,
  feedMmPerMin: strategy.kind === 'waterline' ? input.feedMmPerMin.waterline : input.feedMmPerMin.raster,
});

/** From bin `bin` up. */
const above = ({ minutesFrom, gradientFrom }: AngleTable, bin: number, atBorder: number): PassShare => ({
  unitMinutes: minutesFrom[bin],
  gradient: sideGradient(gradientFrom[bin], atBorder),
});

const below = ({ minutesTo, gradientTo }: AngleTable, bin: number, atBorder: number): PassShare => ({
  unitMinutes: minutesTo[bin],
  gradient: sideGradient(gradientTo[bin], atBorder),
});

function minutesAt({ unitMinutes, gradient }: PassShare, stepMm: number): number {
  // No facets: the smallest gradient of none is Infinity, and the step means nothing.
  if (gradient === Infinity) return 0;
  return gradient > 1e-9 ? unitMinutes / stepMm : Infinity;
}

function isFaster(a: SplitPoint, b: SplitPoint): boolean {
  const fromMiddle = (point: SplitPoint): number => Math.abs(point.angleRad - Math.PI / 4);
  const margin = 1e-9 * b.minutes;
  if (b.minutes === Infinity || Math.abs(a.minutes - b.minutes) > margin) return a.minutes < b.minutes;
  return fromMiddle(a) < fromMiddle(b);
}

/**
 * How much faster the fastest split is: share of the time saved against another, 0 to 1.
 *
 * @returns 1 where the other cannot do the work at all
 */
export const splitGain = (fastest: SplitPoint, otherMinutes: number): number =>
  otherMinutes > 0 ? 1 - fastest.minutes / otherMinutes : 0;

import { finding, type Finding } from '../core/findings.js';
import { digits } from '../core/figures.js';
import { ringArea } from '../outlines/ring-measures.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Plan, StageKind } from '../plan/plan.js';
import type { Stickout } from '../reach/stickout.js';
import type { Setup } from '../resolve-setup.js';
import { clearStock, type ClearedStock } from '../stages/clear-stock.js';
import { thickest } from '../stages/left-thickness.js';
import { maskRings } from '../stages/mask-rings.js';
import type { Rougher } from '../stages/rough-move.js';
import { roughStickout } from '../stages/rough-stickout.js';
import { sliceWork } from '../stages/slice-times.js';
import { NOTHING_MM, volumeBetween, type StockField } from '../stages/stock-field.js';
import { profileOfCutter } from './analyse-cutters.js';

type PlanStage = Plan['stages'][number];
type Meets = NonNullable<PlanStage['meets']>;

/** A stage before finishing, but for its place among the others. */
export interface EarlyStage extends Omit<PlanStage, 'id' | 'beforeCutterId' | 'regionIds'> {
  readonly cutter: Cutter;
}

/** What the passes of a stage that follows the surface take. */
export interface SurfaceWork
  extends Pick<
    PlanStage,
    'stepoverMm' | 'stepdownMm' | 'feedMmPerMin' | 'areaMm2' | 'minutes' | 'blendShare'
  > {
  readonly stickout: Stickout;
}

/** Pieces of a stage's outline smaller than a square of this share of DC are no work of their own. */
const CRUMB_SHARE = 0.25;

/**
 * The stock as one stage after the other takes from it.
 *
 * @param machinableMm2 what the mean thickness is told over
 */
export function stageWalk(field: StockField, setup: Setup, machinableMm2: number) {
  const stages: EarlyStage[] = [],
    findings: Finding[] = [];
  let stock = field.block;

  const meets = ({ after }: Pick<ClearedStock, 'after'>, takesMm: number): Meets => {
    const limitMm = setup.mostThickness * takesMm;
    const told = thickest(field, stock, limitMm, (node) => stock[node] > after[node] + NOTHING_MM);
    return {
      ...told,
      whereMm: told.whereMm && [...told.whereMm],
      meanMm: machinableMm2 > 0 ? volumeBetween(field, stock, after) / machinableMm2 : 0,
      takesMm,
      limitMm,
    };
  };
  const enter = (
    kind: StageKind,
    cutter: Cutter,
    { after }: ClearedStock,
    own: Omit<
      EarlyStage,
      'kind' | 'cutter' | 'cutterId' | 'DC' | 'RE' | 'volumeMm3' | 'leftMm3' | keyof typeof NO_LENGTH
    >,
    { stickoutMm, exceedsUsable, lengthToDiameter, deflectionRatio }: Stickout,
  ): void => {
    stages.push({
      kind,
      cutter,
      cutterId: cutter.id,
      DC: cutter.DC,
      RE: cutter.RE,
      volumeMm3: volumeBetween(field, stock, after),
      leftMm3: volumeBetween(field, after, field.part),
      ...own,
      stickoutMm,
      exceedsUsable,
      lengthToDiameter,
      deflectionRatio,
    });
    stock = after;
  };
  /** A finding where a stage that follows the surface meets too much. */
  const note = (cutterId: string, met: Meets): void => {
    if (met.greatestMm > met.limitMm) findings.push(thickFinding(cutterId, met, stages));
  };

  return {
    stages: stages as readonly EarlyStage[],
    findings: findings as readonly Finding[],

    rough(rougher: Rougher, stockMm: number): void {
      const { cutter, profile, stepdownMm, stepoverMm, feedMmPerMin } = rougher;
      const isFirst = stages.length === 0;
      const cleared = clearStock(field, stock, profile, stockMm, stepdownMm);
      const { slices, time } = sliceWork(field, stock, cleared, rougher);
      const rings = maskRings(
        Uint8Array.from(stock, (top, node) => (top > cleared.after[node] + NOTHING_MM ? 1 : 0)),
        field.lattice,
        (CRUMB_SHARE * cutter.DC) ** 2,
      );
      enter(
        isFirst ? 'rough' : 'rest-rough',
        cutter,
        cleared,
        {
          blendShare: null,
          stockLeftMm: stockMm,
          stepoverMm,
          stepdownMm,
          feedMmPerMin,
          removalRateMm3PerMin: stepoverMm * stepdownMm * feedMmPerMin,
          areaMm2: rings.reduce((sum, ring) => sum + ringArea(ring), 0),
          slices: [...slices],
          // Sideways it should take no more than a stepover.
          meets: isFirst ? null : meets(cleared, stepoverMm),
          rings: rings.map(pointsOf),
          minutes: time.minutes,
        },
        roughStickout(field, stock, cleared, cutter, setup.holderClearanceMm),
      );
      findings.push(...rougher.findings);
    },

    /**
     * A cutter that follows the surface.
     *
     * @param isNeeded whether it runs, by what it meets
     */
    follow(
      kind: StageKind,
      cutter: Cutter,
      takesMm: number,
      work: () => SurfaceWork,
      isNeeded: (met: Meets) => boolean = () => true,
    ): void {
      const { semiStockMm } = setup;
      const cleared = clearStock(field, stock, profileOfCutter(cutter), semiStockMm, null);
      const met = meets(cleared, takesMm);
      if (!isNeeded(met)) return;
      note(cutter.id, met);
      const { stickout, ...own } = work();
      enter(
        kind,
        cutter,
        cleared,
        { ...own, stockLeftMm: semiStockMm, removalRateMm3PerMin: null, slices: [], meets: met, rings: [] },
        stickout,
      );
    },

    /** What a finisher meets that takes all it can; the stock is then as it leaves it. */
    finish(cutter: Cutter, takesMm: number): Meets {
      const cleared = clearStock(field, stock, profileOfCutter(cutter), setup.stockMm, null);
      const met = meets(cleared, takesMm);
      note(cutter.id, met);
      stock = cleared.after;
      return met;
    },
  };
}

/** Keys that a stage has of its stickout. */
const NO_LENGTH = { stickoutMm: 0, exceedsUsable: 0, lengthToDiameter: 0, deflectionRatio: 0 };

const pointsOf = (ring: Float64Array): [number, number][] =>
  Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i], ring[2 * i + 1]]);

function thickFinding(cutterId: string, met: Meets, stages: readonly EarlyStage[]): Finding {
  const last = stages[stages.length - 1];
  const isStair = last !== undefined && met.greatestMm <= last.stockLeftMm + (last.stepdownMm ?? 0);
  const remedy = isStair
    ? `smaller steps of ${last.cutterId} would leave less`
    : last?.slices.length === 0
      ? 'a cutter between would take some of it first (--semi)'
      : 'a smaller rougher between would take some of it first (--rough)';
  return finding(
    'stages.thick',
    'info',
    `${cutterId} meets up to ${digits(met.greatestMm)} mm where it should take ${digits(met.takesMm)} mm: ${remedy}. ` +
      `${digits(met.overAreaMm2)} mm² in plan are thicker than ${digits(met.limitMm)} mm.`,
    Math.max(1, met.places),
    met.whereMm && [...met.whereMm],
  );
}

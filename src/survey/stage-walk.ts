import { finding, type Finding } from '../core/findings.js';
import { digits, figure } from '../core/figures.js';
import { mapTo } from '../core/map-to.js';
import { crumbLimits, crumbWords, dropCrumbs } from '../outlines/drop-crumbs.js';
import { ringArea, type Rings } from '../outlines/ring-measures.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Plan, StageKind } from '../plan/plan.js';
import type { Stickout } from '../reach/stickout.js';
import type { Setup } from '../resolve-setup.js';
import { clearStock, clearThick, type ClearedStock } from '../stages/clear-stock.js';
import { thickest, thickestBySide, type Thickness } from '../stages/left-thickness.js';
import { maskRings } from '../stages/mask-rings.js';
import type { Rougher } from '../stages/rough-move.js';
import { roughStickout } from '../stages/rough-stickout.js';
import { sliceWork } from '../stages/slice-times.js';
import { standingHeights, type Touched } from '../stages/standing-heights.js';
import { areaOver, NOTHING_MM, volumeBetween, type StockField } from '../stages/stock-field.js';
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

/** What a stage takes of a strip no wider than so many pitches is told by the lattice, not by the part. */
const LEAST_PITCHES = 2;

/** The stock as one stage after the other takes from it. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share the stock so far.
export function stageWalk(field: StockField, setup: Setup) {
  const stages: EarlyStage[] = [],
    findings: Finding[] = [],
    thick: Thick[] = [];
  let stock = field.block;
  const crumbs: Crumbs[] = [],
    toldMm = LEAST_PITCHES * field.lattice.pitchMm;
  /** so much the lattice may make of nothing beside a wall */
  const unsureMm = field.lattice.pitchMm / 2;

  const cleaned = (cutter: Cutter, stockMm: number, touched: Touched): ClearedStock => {
    const profile = profileOfCutter(cutter);
    const standing = standingHeights(touched, profile, stockMm, field.lattice);
    return clearStock(field, stock, profile, stockMm, null, standing);
  };
  /** Not down to the part: in a corner that it does not reach the next cutter takes no more than its share. */
  const takenBy = (after: Float32Array) =>
    [{ ...field, part: after }, (node: number) => stock[node] > after[node] + NOTHING_MM] as const;
  const meetsOf = (told: Thickness, volumeMm3: number, areaMm2: number, takesMm: number): Meets => ({
    greatestMm: told.greatestMm,
    whereMm: told.whereMm && [...told.whereMm],
    overAreaMm2: told.overAreaMm2,
    places: told.places,
    // Under a lip the lattice has more wall than is finished.
    meanMm: areaMm2 > 0 ? Math.min(told.greatestMm, volumeMm3 / areaMm2) : 0,
    takesMm,
    limitMm: setup.mostThickness * takesMm,
  });
  const meets = ({ after }: Pick<ClearedStock, 'after'>, takesMm: number): Meets => {
    const [ground, isTaken] = takenBy(after);
    const told = thickest(ground, stock, setup.mostThickness * takesMm + unsureMm, isTaken);
    return meetsOf(told, volumeBetween(field, stock, after), areaOver(field, after, isTaken), takesMm);
  };
  const enter = (
    kind: StageKind,
    cutter: Cutter,
    { after }: ClearedStock,
    own: Omit<
      EarlyStage,
      | 'kind'
      | 'cutter'
      | 'cutterId'
      | 'DC'
      | 'RE'
      | 'volumeMm3'
      | 'leftMm3'
      | 'rings'
      | keyof typeof NO_LENGTH
    >,
    rings: Rings,
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
      rings: rings.map(pointsOf),
      stickoutMm,
      exceedsUsable,
      lengthToDiameter,
      deflectionRatio,
    });
    stock = after;
  };
  /** Where a stage takes anything away, without what is not worth a move. */
  const ringsTo = (kind: StageKind, cutter: Cutter, { after }: ClearedStock): Rings => {
    const isTaken = mapTo(new Uint8Array(stock.length), stock, (top, node) =>
      top > after[node] + NOTHING_MM ? 1 : 0,
    );
    const { leastWidthMm, leastAreaMm2 } = crumbLimits(setup.leastRingShare, cutter);
    const all = maskRings(isTaken, field.lattice);
    const {
      rings,
      goneMm2,
      filledMm2,
      findings: dropped,
    } = dropCrumbs(all, kind, {
      leastWidthMm: Math.max(leastWidthMm, toldMm),
      leastAreaMm2,
    });
    crumbs.push(...dropped.map(({ count }) => ({ cutter, count, goneMm2, filledMm2 })));
    return rings;
  };
  /** Where a stage meets too much. */
  const note = (who: string, met: Meets): void => {
    if (met.places > 0) thick.push({ who, met, before: stages[stages.length - 1] });
  };

  return {
    stages: stages as readonly EarlyStage[],
    findings: (): readonly Finding[] => [
      ...findings,
      ...crumbFinding(crumbs, toldMm),
      ...thickFinding(thick),
    ],

    /**
     * @param thinMm thickness that is left to the next stage by those that follow the first
     * @param isWorth whether one that follows runs, by the stock before and after it and its minutes
     */
    rough(
      rougher: Rougher,
      stockMm: number,
      thinMm: number,
      isWorth: (before: Float32Array, after: Float32Array, minutes: number) => boolean,
    ): void {
      const { cutter, profile, stepdownMm, stepoverMm, feedMmPerMin } = rougher;
      const isFirst = stages.length === 0;
      const cleared = isFirst
        ? clearStock(field, stock, profile, stockMm, stepdownMm)
        : clearThick(field, stock, rougher, stockMm, thinMm);
      const { slices, time } = sliceWork(field, stock, cleared, rougher);
      if (!isFirst && !isWorth(stock, cleared.after, time.minutes)) return;
      // Sideways it should take no more than a stepover.
      const met = isFirst ? null : meets(cleared, stepoverMm);
      if (met) note(`${cutter.id} roughing`, met);
      const kind = isFirst ? 'rough' : 'rest-rough',
        rings = ringsTo(kind, cutter, cleared);
      enter(
        kind,
        cutter,
        cleared,
        {
          blendShare: null,
          stockLeftMm: stockMm,
          stepoverMm,
          stepdownMm,
          feedMmPerMin,
          removalRateMm3PerMin: stepoverMm * stepdownMm * feedMmPerMin,
          areaMm2: areaOf(rings),
          slices: [...slices],
          meets: met,
          minutes: time.minutes,
        },
        rings,
        roughStickout(field, stock, cleared, cutter, setup.holderClearanceMm),
      );
      findings.push(...rougher.findings);
    },

    /**
     * A cutter that follows the surface.
     *
     * @param touched where it runs
     * @param isNeeded whether it runs, by what it meets
     */
    follow(
      kind: StageKind,
      cutter: Cutter,
      takesMm: number,
      touched: Touched,
      work: () => SurfaceWork,
      isNeeded: (met: Meets) => boolean = () => true,
    ): void {
      const { semiStockMm } = setup;
      const cleared = cleaned(cutter, semiStockMm, touched);
      const met = meets(cleared, takesMm);
      if (!isNeeded(met)) return;
      const { stickout, ...own } = work();
      if (!(own.areaMm2 > 0)) return;
      note(`${cutter.id} semi-finishing`, met);
      enter(
        kind,
        cutter,
        cleared,
        { ...own, stockLeftMm: semiStockMm, removalRateMm3PerMin: null, slices: [], meets: met },
        ringsTo(kind, cutter, cleared),
        stickout,
      );
    },

    /** What a finisher meets that takes all it can where it runs; the stock is then as it leaves it. */
    finish(cutter: Cutter, takesMm: number, touched: Touched): Meets {
      const cleared = cleaned(cutter, setup.stockMm, touched);
      const met = meets(cleared, takesMm);
      note(`${cutter.id} finishing`, met);
      stock = cleared.after;
      return met;
    },

    /** Likewise one that finishes floors and walls, which it meets apart. @param areasMm2 of those that it finishes */
    finishMilled(
      cutter: Cutter,
      takesMm: number,
      touched: Touched,
      areasMm2: Readonly<Record<'floors' | 'walls', number>>,
    ): Readonly<Record<'floors' | 'walls', Meets>> {
      const { after } = cleaned(cutter, setup.stockMm, touched);
      const [ground, isTaken] = takenBy(after);
      const told = thickestBySide(ground, stock, setup.mostThickness * takesMm + unsureMm, isTaken);
      const of = (kind: 'floors' | 'walls'): Meets =>
        meetsOf(told[kind], told[kind].volumeMm3, areasMm2[kind], takesMm);
      const met = { floors: of('floors'), walls: of('walls') };
      if (areasMm2.floors > 0) note(`${cutter.id} on floors`, met.floors);
      if (areasMm2.walls > 0) note(`${cutter.id} along walls`, met.walls);
      stock = after;
      return met;
    },
  };
}

/** Keys that a stage has of its stickout. */
const NO_LENGTH = { stickoutMm: 0, exceedsUsable: 0, lengthToDiameter: 0, deflectionRatio: 0 };

/** Points of a ring as a plan holds them. */
export const pointsOf = (ring: Float64Array): [number, number][] =>
  Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i], ring[2 * i + 1]]);

const areaOf = (rings: Rings): number => rings.reduce((sum, ring) => sum + ringArea(ring), 0);

/** What was left out of a stage's rings, and filled. */
interface Crumbs {
  readonly cutter: Cutter;
  readonly count: number;
  readonly goneMm2: number;
  readonly filledMm2: number;
}

function crumbFinding(crumbs: readonly Crumbs[], toldMm: number): Finding[] {
  if (crumbs.length === 0) return [];
  const told = crumbs
    .map(({ cutter, goneMm2, filledMm2 }) => `${cutter.id}: ${crumbWords(goneMm2, filledMm2)}`)
    .join('; ');
  return [
    finding(
      'outlines.crumbs',
      'info',
      `Outlines of stages before finishing, pieces narrower than ${digits(toldMm)} mm, which the height grid does not tell, ` +
        `or not worth a move of the cutter. ${told}`,
      crumbs.reduce((sum, { count }) => sum + count, 0),
    ),
  ];
}

/** What a cutter meets that is too much, and the stage that left it. */
interface Thick {
  /** a cutter and what it does */
  readonly who: string;
  readonly met: Meets;
  readonly before: EarlyStage | undefined;
}

/** One finding for all: what the first of them needs helps those after it too. */
function thickFinding(thick: readonly Thick[]): Finding[] {
  if (thick.length === 0) return [];
  const [{ met, before }] = thick;
  const told = thick.map(
    ({ who, met: { greatestMm, takesMm } }) =>
      `${who} up to ${figure(greatestMm, 2)} mm where it should take ${digits(takesMm)} mm`,
  );
  const isStair = before !== undefined && met.greatestMm <= before.stockLeftMm + (before.stepdownMm ?? 0);
  const isRoughed = before === undefined || before.slices.length > 0;
  const remedy = isStair
    ? `a smaller stepdown of ${before.cutterId} (--rough-stepdown)`
    : isRoughed
      ? 'a smaller rougher between (--rough)'
      : 'a cutter between (--semi)';
  return [
    finding(
      'stages.thick',
      'info',
      `More stands than should: ${told.join(', ')}. At the first of them ${digits(met.overAreaMm2)} mm² in plan are ` +
        `thicker than ${digits(met.limitMm)} mm; what helps: ${remedy}.`,
      met.places,
      met.whereMm && [...met.whereMm],
    ),
  ];
}

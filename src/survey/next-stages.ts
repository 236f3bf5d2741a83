import type { Cutter } from '../cutter/catalogue.js';
import type { Setup } from '../resolve-setup.js';
import { clearStock } from '../stages/clear-stock.js';
import { standingHeights, type Touched } from '../stages/standing-heights.js';
import { volumeBetween, type StockField } from '../stages/stock-field.js';
import type { Left } from '../time/ladder-states.js';
import { profileOfCutter } from './analyse-cutters.js';
import type { Ladder } from './choose-ladder.js';
import { facetPieces, whereCut, type Before } from './cut-pieces.js';
import { askedSteps, bothPasses, finishingFeed, type PassLayout } from './pass-layout.js';
import type { StagesInput } from './stages.js';

/** A stage of a ball that follows roughing. */
interface NextStage {
  readonly cutter: Cutter;
  /** that it runs over */
  readonly facets: Uint32Array;
  readonly touched: Touched;
  /** at which it takes what it is meant to take in one pass, mm³/min */
  readonly rateMm3PerMin: number;
}

/**
 * Mills finish floors and walls straight from what roughing left, so that no ball beside them meets it; where
 * semi-finishers are asked for, these run over floors and walls first.
 */
export const areMillsFirst = ({ semi }: Pick<Setup, 'semi'>): boolean => semi === 'auto';

/** What is left for a cutter of the ladder. */
export const beforeRung = ({ rungs }: Pick<Ladder, 'rungs'>, at: number): Before => ({
  left: rungs[at - 1]?.left ?? null,
  cutters: rungs.slice(0, at),
});

/** Passes as for finishing, at the coarser scallop. */
export const semiLayout = (setup: Setup, layout: PassLayout, { DC }: Cutter): PassLayout => ({
  ...layout,
  steps: askedSteps({
    ...setup,
    scallopMm: setup.semiScallopMm ?? setup.semiStockMm / 2,
    stepoverMm: null,
    stepdownMm: null,
  }),
  work: { stage: 'semi-finish', apMm: Math.max(setup.semiStockMm, setup.roughStockShare * DC) },
});

/** The balls that follow roughing, those of finishing where none semi-finishes; at least one. */
export function nextStages(
  { setup, layout, ladder, reach }: StagesInput,
  semi: readonly Cutter[],
  lefts: readonly Left[],
): readonly NextStage[] {
  const balls =
    semi.length > 0
      ? semi.map((cutter, i) => ({
          cutter,
          ...whereCut(reach, setup, lefts[i].share, {
            left: lefts[i - 1] ?? null,
            cutters: semi.slice(0, i).map((cutter) => ({ cutter })),
          }),
        }))
      : ladder.rungs.flatMap((rung, i) =>
          rung.role === 'floors and walls'
            ? []
            : [{ cutter: rung.cutter, ...whereCut(reach, setup, rung.share, beforeRung(ladder, i)) }],
        );
  if (balls.length === 0)
    balls.push({
      cutter: ladder.finisher,
      facets: new Uint32Array(),
      touched: facetPieces(reach.surface, []),
    });
  return balls.map(({ cutter, ...where }) => {
    const own = semiLayout(setup, layout, cutter);
    const [, { spacingMm, steepestRad }] = bothPasses(own, cutter);
    const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, steepestRad, own.work);
    return { cutter, ...where, rateMm3PerMin: spacingMm * setup.roughStockShare * cutter.DC * feedMmPerMin };
  });
}

/**
 * Minutes in which the stages that follow roughing take what lies between two states of the stock: what the first ball
 * does not get at and a smaller one does at the rate of that, all else at the rate of the first. Mills could take thick
 * stock in less, but a finishing pass should not meet it.
 */
export function nextMinutes(
  field: StockField,
  next: readonly NextStage[],
  { semiStockMm }: Pick<Setup, 'semiStockMm'>,
): (before: Float32Array, after: Float32Array) => number {
  const [{ rateMm3PerMin: firstRate }, ...smaller] = next;
  const heights: Float32Array[] = [];
  let stock: Float32Array = field.block;
  // Where one ball follows all goes at its rate.
  for (const { cutter, touched } of smaller.length > 0 ? next : []) {
    const profile = profileOfCutter(cutter),
      standing = standingHeights(touched, profile, semiStockMm, field.lattice);
    stock = clearStock(field, stock, profile, semiStockMm, null, standing).after;
    heights.push(stock);
  }
  return (before, after) =>
    smaller.reduce(
      (sum, { rateMm3PerMin }, i) => {
        const top = before.map((mm, node) => Math.min(mm, heights[i][node])),
          foot = after.map((mm, node) => Math.max(mm, heights[i + 1][node]));
        return sum + volumeBetween(field, top, foot) * (1 / rateMm3PerMin - 1 / firstRate);
      },
      volumeBetween(field, before, after) / firstRate,
    );
}

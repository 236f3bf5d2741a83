import { digits } from '../core/figures.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { quote, type Quote } from '../time/quote.js';
import type { Ladder } from './choose-ladder.js';
import type { RasterChoice } from './split-choice.js';

/** What the finishing of one part costs, cutter by cutter. */
export function ladderQuote({ rungs }: Pick<Ladder, 'rungs'>, { machine }: Pick<Setup, 'machine'>): Quote {
  const work = rungs.map(({ cutter, minutes }) => ({
    id: cutter.id,
    minutes,
    wearCostPerMinute: cutter.wearCostPerMinute ?? 0,
  }));
  return quote(work, rungs.length, machine);
}

/** Minutes and cost of the ladder, as a range, with what is counted and what is not. */
export function planTime(ladder: Ladder, setup: Setup, raster: RasterChoice): Plan['time'] {
  const { machine } = setup;
  const { total, currency, basis } = ladderQuote(ladder, setup);
  const toolChangeMinutes = (ladder.rungs.length * machine.toolChangeSeconds) / 60;
  const finishingMinutes = ladder.rungs.reduce((minutes, rung) => minutes + rung.minutes, 0);
  return {
    finishingMinutes,
    toolChangeMinutes,
    totalMinutes: finishingMinutes + toolChangeMinutes,
    cost: total.cost.likely,
    setUpMinutes: machine.setUpMinutes,
    lowMinutes: total.minutes.low - machine.setUpMinutes,
    highMinutes: total.minutes.high - machine.setUpMinutes,
    lowCost: total.cost.low,
    highCost: total.cost.high,
    currency,
    rangeBasis: basis,
    assumptions: assumptions(ladder, setup, raster),
  };
}

function assumptions({ rungs, finisher }: Ladder, setup: Setup, { tried }: RasterChoice): string[] {
  const unknownWear = rungs.filter(({ cutter }) => cutter.wearCostPerMinute === null).length;
  return [
    'Counted: finishing passes, slow-down on curves, stops at the end of each cut, links, approaches, air moves, a change ' +
      'before each cutter. Not counted: lead-ins, measuring, benching; the stages before finishing have a list of their own.',
    "Lengths follow from areas (co-area formula), corrected to the way of the cutter's centre; the overlap is cut twice.",
    'Both passes keep the asked scallop on planes; where the part bulges across the passes it is higher, and listed.',
    `${finisher.id} runs waterline and raster over what it reaches; each later cutter follows the surface over what is left, ` +
      `as closely as its own finishing passes, and ${digits(100 * setup.blendShare)} % of the cutter before onto clean surface.`,
    ...(rungs.some(({ role }) => role === 'floors and walls')
      ? [
          'Floors and walls by flat and bull-nose cutters: passes over a floor by its area and border, full rounds along walls; ' +
            'side and axial steps are shares of the set-up (common practice), corners of the passes are taken at full feed.',
        ]
      : []),
    ...(tried > 0
      ? [
          `Raster: the fastest of ${tried} directions, ${180 / tried} degrees apart, with stops, links and air moves.`,
        ]
      : []),
    ...(setup.splitDeg === 'auto'
      ? ['The split was chosen for a ball of middle size with the feeds of a split at 45 degrees.']
      : []),
    ...(unknownWear > 0
      ? [`Wear is not in the cost of ${unknownWear} of ${rungs.length} cutters: the catalogue has no figure.`]
      : []),
  ];
}

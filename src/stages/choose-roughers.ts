import { clearStock, clearThick } from './clear-stock.js';
import type { Rougher } from './rough-move.js';
import { sliceWork } from './slice-times.js';
import { volumeBetween, type StockField } from './stock-field.js';

export interface RougherChoice {
  /** the first clears this share of what any of them does */
  readonly firstShare: number;
  readonly stockMm: (rougher: Rougher) => number;
  /** in which the stages that follow would take what lies between two states of the stock */
  readonly nextMinutes: (before: Float32Array, after: Float32Array) => number;
  /** thickness that the next stage takes as it comes, mm */
  readonly thinMm: (first: Rougher) => number;
  /** what a further one must save, its change in it */
  readonly leastGainMinutes: number;
}

/** So many follow the first at most: what a third would save is less than the minutes are known to. */
const MOST_AFTER = 2;

interface Chain {
  readonly chosen: readonly Rougher[];
  /** minutes that those after the first save */
  readonly gain: number;
}

/**
 * Which cutters rough, and in which order: the largest that clears its share, then those that together save most: what
 * they take more, in less time than the stages that follow would. One between may save nothing but the time of a
 * smaller one.
 *
 * @param roughers large to small
 * @param field a coarse one will do
 */
export function chooseRoughers(
  roughers: readonly Rougher[],
  field: StockField,
  { firstShare, stockMm, thinMm, nextMinutes, leastGainMinutes }: RougherChoice,
): Rougher[] {
  const alone = roughers.map((rougher) => {
    const { profile, stepdownMm } = rougher;
    const { after } = clearStock(field, field.block, profile, stockMm(rougher), stepdownMm);
    return { rougher, after, volumeMm3: volumeBetween(field, field.block, after) };
  });
  const most = Math.max(...alone.map(({ volumeMm3 }) => volumeMm3), 0);
  const first = alone.find(({ volumeMm3 }) => volumeMm3 > 0 && volumeMm3 >= firstShare * most);
  if (first === undefined) return [];
  // Later ones leave what the first did: the walls that it cut are not touched again.
  const stock = stockMm(first.rougher),
    thin = thinMm(first.rougher);
  const bestAfter = (chosen: readonly Rougher[], before: Float32Array): Chain => {
    let best: Chain = { chosen, gain: 0 };
    if (chosen.length > MOST_AFTER) return best;
    for (const rougher of roughers.filter(({ DC }) => DC < chosen[chosen.length - 1].DC)) {
      const cleared = clearThick(field, before, rougher, stock, thin),
        { minutes } = sliceWork(field, before, cleared, rougher).time;
      const own = nextMinutes(before, cleared.after) - minutes - leastGainMinutes,
        later = bestAfter([...chosen, rougher], cleared.after);
      if (own + later.gain > best.gain) best = { ...later, gain: own + later.gain };
    }
    return best;
  };
  return [...bestAfter([first.rougher], first.after).chosen];
}

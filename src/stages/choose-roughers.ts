import { clearStock, clearThick, type ClearedStock } from './clear-stock.js';
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

/**
 * Which cutters rough, and in which order: the largest that clears its share, then as long as one saves time, the one
 * that saves most: what it takes more, in less time than the stages that follow would.
 *
 * @param roughers large to small
 * @param field a coarse one will do
 */
export function chooseRoughers(
  roughers: readonly Rougher[],
  field: StockField,
  { firstShare, stockMm, thinMm, nextMinutes, leastGainMinutes }: RougherChoice,
): Rougher[] {
  const told = (rougher: Rougher, before: Float32Array, cleared: ClearedStock) => ({
    rougher,
    cleared,
    volumeMm3: volumeBetween(field, before, cleared.after),
  });
  const alone = roughers.map((rougher) => {
    const { profile, stepdownMm } = rougher;
    return told(rougher, field.block, clearStock(field, field.block, profile, stockMm(rougher), stepdownMm));
  });
  const most = Math.max(...alone.map(({ volumeMm3 }) => volumeMm3), 0);
  const first = alone.find(({ volumeMm3 }) => volumeMm3 > 0 && volumeMm3 >= firstShare * most);
  if (first === undefined) return [];
  const chosen = [first.rougher],
    // Later ones leave what the first did: the walls that it cut are not touched again.
    stock = stockMm(first.rougher),
    thin = thinMm(first.rougher);
  let before = first.cleared.after;
  while (chosen.length <= MOST_AFTER) {
    const gains = roughers
      .filter(({ DC }) => DC < chosen[chosen.length - 1].DC)
      .map((rougher) => {
        const own = told(rougher, before, clearThick(field, before, rougher, stock, thin));
        const { minutes } = sliceWork(field, before, own.cleared, rougher).time;
        return { ...own, gain: nextMinutes(before, own.cleared.after) - minutes - leastGainMinutes };
      });
    const best = gains.reduce<(typeof gains)[number] | null>(
      (known, own) => (own.gain > (known?.gain ?? 0) ? own : known),
      null,
    );
    if (best === null) break;
    chosen.push(best.rougher);
    before = best.cleared.after;
  }
  return chosen;
}

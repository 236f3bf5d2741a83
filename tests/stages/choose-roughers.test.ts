import { describe, expect, test } from 'vitest';
import { DEFAULT_ROUGHERS } from '../../src/cutter/default-roughers.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { chooseRoughers } from '../../src/stages/choose-roughers.js';
import { clearStock, clearThick } from '../../src/stages/clear-stock.js';
import { rougherOf, type Rougher } from '../../src/stages/rough-move.js';
import { sliceWork } from '../../src/stages/slice-times.js';
import { volumeBetween, type StockField } from '../../src/stages/stock-field.js';
import * as shapes from '../support/shapes.js';
import { fieldOf } from './field.js';

const ROUGHERS = DEFAULT_ROUGHERS.map((cutter) => rougherOf(cutter, SETUP_DEFAULTS));
const STOCK = 0.3,
  NODES = 9000;

interface Rates {
  readonly rate: number;
  readonly change: number;
  readonly thin: number;
}

/** Minutes from the block until nothing is left, the next stage taking what the roughers leave; and what the first takes. */
function costOf(field: StockField, some: readonly Rougher[], { rate, change, thin }: Rates) {
  let before = field.block,
    minutes = 0,
    first = 0;
  some.forEach((rougher, i) => {
    const cleared =
      i === 0
        ? clearStock(field, before, rougher.profile, STOCK, rougher.stepdownMm)
        : clearThick(field, before, rougher, STOCK, thin);
    minutes += sliceWork(field, before, cleared, rougher).time.minutes + change;
    if (i === 0) first = volumeBetween(field, before, cleared.after);
    before = cleared.after;
  });
  return { minutes: minutes + volumeBetween(field, before, field.part) / rate, first };
}

// Against all orders of one and two roughers by brute force.
describe.each([
  ['a pocket', shapes.boxPocket({ width: 46, length: 60, depth: 14, land: 6 })],
  ['a narrow pocket', shapes.boxPocket({ width: 9, length: 60, depth: 8, land: 6 })],
  ['a dome', shapes.domeOnPlate(18, 60, 64)],
])('%s', (_, corners) => {
  const field = fieldOf(corners, { topMm: 2, sideMm: 1 }, NODES, 10.7);
  const choices = [0.5, 0.8, 0.95].flatMap((share) =>
    [20, 200, 4000].flatMap((rate) =>
      [
        [0.1, 0],
        [2, 0.9],
      ].map(([change, thin]) => ({ share, rate, change, thin })),
    ),
  );

  test.each(choices)(
    'first to clear $share, then at $rate mm³/min, $change min a change, $thin mm left to the next',
    ({ share, ...rates }) => {
      const { rate, change, thin } = rates;
      const chosen = chooseRoughers(ROUGHERS, field, {
        firstShare: share,
        stockMm: () => STOCK,
        thinMm: () => thin,
        nextMinutes: (from, to) => volumeBetween(field, from, to) / rate,
        leastGainMinutes: change,
      });
      const alone = ROUGHERS.map((one) => ({ one, ...costOf(field, [one], rates) }));
      const most = Math.max(...alone.map(({ first }) => first));
      const wide = alone.filter(({ first }) => first >= share * most).map(({ one }) => one.DC);
      expect(chosen[0].DC).toBe(Math.max(...wide));
      const costs = [[], ...ROUGHERS.filter(({ DC }) => DC < chosen[0].DC).map((second) => [second])].map(
        (after) => costOf(field, [chosen[0], ...after], rates).minutes,
      );
      expect(costOf(field, chosen.slice(0, 2), rates).minutes).toBeCloseTo(Math.min(...costs), 9);
      // A third comes only where it saves time, too.
      expect(costOf(field, chosen, rates).minutes).toBeLessThanOrEqual(Math.min(...costs) + 1e-9);
    },
  );

  test('a slow next stage asks for more cutters than a quick one', () => {
    const by = (rate: number): number =>
      chooseRoughers(ROUGHERS, field, {
        firstShare: 0.5,
        stockMm: () => STOCK,
        thinMm: () => 0,
        nextMinutes: (from, to) => volumeBetween(field, from, to) / rate,
        leastGainMinutes: 1,
      }).length;
    expect(by(1)).toBeGreaterThanOrEqual(by(1e6));
    expect(by(1e6)).toBe(1);
  });
});

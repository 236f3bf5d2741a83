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

/** What roughers take of a field one after the other. */
interface Worked {
  readonly minutes: number;
  /** mm³ that the first takes */
  readonly first: number;
  readonly after: Float32Array;
}

/**
 * Minutes from the block until nothing is left, the next stage taking what the roughers leave; and what the first takes.
 * Rates change nothing of what is cleared, which is worked out once for each order and thickness.
 */
function costsIn(field: StockField) {
  const known = new Map<string, Worked>();
  const worked = (some: readonly Rougher[], thin: number): Worked => {
    if (some.length === 0) return { minutes: 0, first: 0, after: field.block };
    const name = `${some.map(({ DC }) => DC)} ${some.length > 1 ? thin : ''}`;
    const found = known.get(name);
    if (found) return found;
    const { minutes, first, after: before } = worked(some.slice(0, -1), thin),
      rougher = some[some.length - 1];
    const cleared =
      some.length === 1
        ? clearStock(field, before, rougher.profile, STOCK, rougher.stepdownMm)
        : clearThick(field, before, rougher, STOCK, thin);
    const own: Worked = {
      minutes: minutes + sliceWork(field, before, cleared, rougher).time.minutes,
      first: some.length === 1 ? volumeBetween(field, before, cleared.after) : first,
      after: cleared.after,
    };
    known.set(name, own);
    return own;
  };
  return (some: readonly Rougher[], { rate, change, thin }: Rates) => {
    const { minutes, first, after } = worked(some, thin);
    return {
      minutes: minutes + some.length * change + volumeBetween(field, after, field.part) / rate,
      first,
    };
  };
}

// Against all orders of up to three roughers by brute force.
describe.each([
  ['a pocket', shapes.boxPocket({ width: 46, length: 60, depth: 14, land: 6 })],
  ['a narrow pocket', shapes.boxPocket({ width: 9, length: 60, depth: 8, land: 6 })],
  ['a dome', shapes.domeOnPlate(18, 60, 64)],
])('%s', (_, corners) => {
  const field = fieldOf(corners, { topMm: 2, sideMm: 1 }, NODES, 10.7);
  const costOf = costsIn(field);
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
      const alone = ROUGHERS.map((one) => ({ one, ...costOf([one], rates) }));
      const most = Math.max(...alone.map(({ first }) => first));
      const wide = alone.filter(({ first }) => first >= share * most).map(({ one }) => one.DC);
      expect(chosen[0].DC).toBe(Math.max(...wide));
      const smaller = ROUGHERS.filter(({ DC }) => DC < chosen[0].DC);
      const afters = [
        [],
        ...smaller.flatMap((second) => [
          [second],
          ...smaller.filter(({ DC }) => DC < second.DC).map((third) => [second, third]),
        ]),
      ];
      const costs = afters.map((after) => costOf([chosen[0], ...after], rates).minutes);
      expect(costOf(chosen, rates).minutes).toBeCloseTo(Math.min(...costs), 9);
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

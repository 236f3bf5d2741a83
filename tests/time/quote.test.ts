import { expect, test } from 'vitest';
import { PLACEHOLDER_MACHINE, type Machine } from '../../src/time/machine.js';
import { quote, quoteRows } from '../../src/time/quote.js';

const machine: Machine = {
  ...PLACEHOLDER_MACHINE,
  hourlyRate: 90,
  setUpMinutes: 20,
  toolChangeSeconds: 30,
  currency: 'EUR',
};
const work = [
  { id: 'B6', minutes: 60, wearCostPerMinute: 0.1 },
  { id: 'B2', minutes: 20, wearCostPerMinute: 0.25 },
];

// By hand: 90 an hour is 1.50 a minute.
test('time and wear per cutter, changes and set-up, 25 % either way when not calibrated', () => {
  const { lines, total, basis } = quote(work, 2, machine);
  expect(lines.map(({ item, cost }) => [item, cost.likely])).toEqual([
    ['finishing with B6', expect.closeTo(60 * 1.6, 9)],
    ['finishing with B2', expect.closeTo(20 * 1.75, 9)],
    ['cutter changes', 1.5],
    ['set-up', 30],
  ]);
  expect(total.minutes).toEqual({ low: 0.75 * 80 + 21, likely: 101, high: 1.25 * 80 + 21 });
  expect(total.cost.likely).toBeCloseTo(96 + 35 + 31.5, 9);
  expect(total.cost.low).toBeCloseTo(0.75 * 131 + 31.5, 9);
  expect(total.cost.high).toBeCloseTo(1.25 * 131 + 31.5, 9);
  expect(basis).toContain('not calibrated');
});

test("the shop's own spread takes the place of the 25 %", () => {
  const { total, basis } = quote(work, 2, { ...machine, timeSpread: { low: 0.9, high: 1.3 } });
  expect(total.minutes.low).toBeCloseTo(0.9 * 80 + 21, 9);
  expect(total.minutes.high).toBeCloseTo(1.3 * 80 + 21, 9);
  expect(basis).toContain('-10 %, +30 %');
});

test('rows for a sheet: header, lines, total; three digits', () => {
  const rows = quoteRows(quote([{ id: 'B6', minutes: 1234.5, wearCostPerMinute: 0 }], 1, machine));
  expect(rows[0]).toEqual([
    'item',
    'minutes low',
    'minutes likely',
    'minutes high',
    'cost EUR low',
    'cost EUR likely',
    'cost EUR high',
    'basis of the range',
  ]);
  expect(rows.map((row) => row.length)).toEqual([8, 8, 8, 8, 8]);
  expect(rows[1].slice(0, 4)).toEqual(['finishing with B6', 926, 1230, 1540]);
  expect(rows[4][0]).toBe('total with set-up');
  expect(rows[4][7]).toContain('25 %');
});

test('refuses what is not known', () => {
  expect(() => quote([{ id: 'B6', minutes: Infinity, wearCostPerMinute: 0 }], 1, machine)).toThrow(/B6/);
  expect(() => quote([{ id: 'B6', minutes: 1, wearCostPerMinute: -1 }], 1, machine)).toThrow(RangeError);
});

import { describe, expect, test } from 'vitest';
import {
  deepRemedies,
  HAND_AREA_MM2,
  HAND_DEPTH_MM,
  LEAST_BALL_MM,
  tightRemedies,
  undercutRemedies,
} from '../../src/survey/remedies.js';
import type { Plan } from '../../src/plan/plan.js';

// The rules as the trade has them (common practice, no source). A ball of radius r that reaches a depth takes the depth
// and a clearance out of its holder: L/D is that over 2 r.
const CLEARANCE = 1;
const kinds = (remedies: readonly { readonly kind: string }[]): string[] => remedies.map(({ kind }) => kind);

describe.each([2, 9, 15, 40])('a place %d mm deep', (depthMm) => {
  const reachOf = (): number => depthMm + CLEARANCE;
  test.each([0, 0.05, 0.1, 0.3, 0.8, 1.5, 4])('that takes R %d', (radiusMm) => {
    for (const areaMm2 of [1, HAND_AREA_MM2, 21, 500])
      for (const most of [5, 10, 20]) {
        const spot = { radiusMm, mostlyMm: radiusMm, depthMm, areaMm2, isLevel: false, takesFlatEnd: false };
        const found = tightRemedies(spot, reachOf, most);
        const ratio = (depthMm + CLEARANCE) / (2 * radiusMm);
        if (radiusMm >= LEAST_BALL_MM && ratio <= most) {
          expect(found).toEqual([
            { kind: 'ball', radiusMm, reachMm: depthMm + CLEARANCE, lengthToDiameter: ratio, wayUp: null },
          ]);
          // What that ball leaves: a foot along a floor, or a sharp end.
          const rest = (isLevel: boolean) => tightRemedies({ ...spot, radiusMm: 0, isLevel }, reachOf, most);
          expect(kinds(rest(true))).toEqual(['ball', 'flat-end']);
          expect(rest(true)[0]).toEqual(found[0]);
          const isBench = depthMm <= HAND_DEPTH_MM && areaMm2 <= HAND_AREA_MM2;
          expect(kinds(rest(false))).toEqual(['ball', isBench ? 'hand' : 'edm']);
          continue;
        }
        const bench = depthMm <= HAND_DEPTH_MM && areaMm2 <= HAND_AREA_MM2;
        expect(kinds(found)).toEqual([
          bench ? 'hand' : 'edm',
          ...(radiusMm < LEAST_BALL_MM ? ['split-insert'] : []),
        ]);
      }
  });

  test.each([1.2, 2.5, 5])('too deep for a ball of R 1, but R %d gets into most of it', (radiusMm) => {
    for (const most of [5, 10, 20]) {
      const ratio = (depthMm + CLEARANCE) / (2 * radiusMm);
      const found = deepRemedies(radiusMm, 1, reachOf, most);
      expect(kinds(found)).toEqual([...(ratio <= most ? ['ball'] : []), 'edm', 'split-insert']);
      // One no larger than that which is too slender is no help.
      expect(kinds(deepRemedies(1, 1, reachOf, most))).toEqual(['edm', 'split-insert']);
    }
  });
});

test('a floor takes a flat end where the catalogue has none; any ball where no radius limits it', () => {
  const spot = { radiusMm: 0, mostlyMm: 0, depthMm: 4, areaMm2: 3, isLevel: true, takesFlatEnd: true };
  expect(kinds(tightRemedies(spot, () => 5, 10))).toEqual(['flat-end', 'hand', 'split-insert']);
  expect(kinds(tightRemedies({ ...spot, mostlyMm: Infinity }, () => NaN, 10))).toEqual(['ball', 'flat-end']);
});

test('undercuts: the second way up where it adds anything; or a side action', () => {
  const ways = [{ name: '+z' }, { name: '-z' }] as unknown as Plan['waysUp']['ways'];
  const second = { way: 1, togetherMm2: 5, neitherMm2: 0 };
  const of = (own: Plan['waysUp']['second']) =>
    undercutRemedies({ waysUp: { ways, second: own } as Plan['waysUp'] }).map(({ kind, wayUp }) => [
      kind,
      wayUp,
    ]);
  expect(of(second)).toEqual([
    ['set-up', '-z'],
    ['side-action', null],
  ]);
  expect(of(null)).toEqual([['side-action', null]]);
});

import { describe, expect, test } from 'vitest';
import { chooseSteps } from '../../src/time/ladder.js';
import type { Candidate } from '../../src/time/ladder-states.js';
import { randomNumbers } from '../support/shapes.js';

// What a change of the ladder is worth, against all subsets of the cutters, straight from the definition: each cutter
// runs over what those before it leave, two minutes for the change.
const CHANGE = 2;
interface Cutter {
  readonly id: string;
  readonly isMill: boolean;
  readonly rate: number;
  /** of each facet, 0 .. 1 */
  readonly left: readonly number[];
}
const sum = (terms: readonly number[]): number => terms.reduce((a, b) => a + b, 0);

function ladderOf(
  cutters: readonly Cutter[],
  areas: readonly number[],
  byMinutes = true,
  leastGainMm2 = 1e-9,
) {
  const { told } = chooseSteps(
    cutters.map(({ id, left }): Candidate => {
      const share = Float64Array.from(left);
      return { id, barred: null, left: share, larger: share };
    }),
    {
      areas: Float64Array.from(areas),
      firstShare: 0,
      leastGainMm2,
      toolChangeMinutes: CHANGE,
      leastGainMinutes: 0,
      byMinutes,
      minutes: (before, at) =>
        sum(areas.map((area, f) => area * Math.max(0, (before?.share[f] ?? 1) - cutters[at].left[f]))) /
        cutters[at].rate,
      leastRate: (at) => new Float64Array(areas.length).fill(1 / cutters[at].rate),
    },
  );
  return told();
}

/** mm² that a run leaves, and its minutes. */
function run(cutters: readonly Cutter[], areas: readonly number[], path: readonly number[]) {
  const leftAfter = (count: number): number =>
    sum(areas.map((area, f) => area * Math.min(1, ...path.slice(0, count).map((at) => cutters[at].left[f]))));
  const own = path.map((at, i) => CHANGE + (leftAfter(i) - leftAfter(i + 1)) / cutters[at].rate);
  return {
    minutes: sum(own),
    leftMm2: leftAfter(path.length),
    ownOf: (at: number): number => own[path.indexOf(at)],
    /** each but `free` reaches more than those before it */
    gains: (free: number): boolean =>
      path.every((at, i) => at === free || leftAfter(i) - leftAfter(i + 1) > 1e-9),
  };
}

const SEEDS = Array.from({ length: 60 }, (_, i) => i + 1);

/** Six cutters over facets of four kinds; nested, or mills before balls and nothing nested. */
function catalogue(seed: number, isNested: boolean) {
  const random = randomNumbers(9000 + seed);
  const areas = Array.from({ length: 20 }, () => 10 + 100 * random());
  const cutters = Array.from({ length: 6 }, (_, c): Cutter => {
    const isMill = !isNested && c < 3,
      fit = 0.3 + 0.6 * random();
    return {
      id: `c${c}`,
      isMill,
      rate: (isMill ? 200 : isNested ? 120 - 18 * c : 20) * (0.2 + random()),
      left: areas.map((_area, f) => {
        if (isNested) return f < 3 + 3 * c + Math.floor(2 * random()) ? 0 : 1;
        return isMill && f >= 12 ? 1 : random() < fit ? 0 : random() < 0.5 ? 1 : random();
      }),
    };
  });
  if (!isNested) return { cutters, areas };
  // Each reaches all that the larger ones do.
  return {
    areas,
    cutters: cutters.map((own, c) => ({
      ...own,
      left: own.left.map((_, f) => Math.min(...cutters.slice(0, c + 1).map(({ left }) => left[f]))),
    })),
  };
}

describe.each([true, false])('nested: %s', (isNested) => {
  test.each(SEEDS)('one fewer is the choice without it, seed %d', (seed) => {
    const { cutters, areas } = catalogue(seed, isNested);
    const ladder = ladderOf(cutters, areas);
    const path = ladder.steps.map(({ at }) => at),
      chosen = run(cutters, areas, path);
    for (const { at, without, savesMinutes } of ladder.steps) {
      const rest = cutters.filter((_, c) => c !== at);
      const fewer = ladderOf(rest, areas).steps.map((step) => cutters.indexOf(rest[step.at]));
      const other = run(cutters, areas, fewer);
      expect(without?.path).toEqual(fewer);
      expect(without?.extraMinutes).toBeCloseTo(other.minutes - chosen.minutes, 9);
      expect(without?.moreLeftMm2).toBeCloseTo(other.leftMm2 - chosen.leftMm2, 9);
      if (other.leftMm2 > chosen.leftMm2 + 1e-9) expect(savesMinutes).toBeNull();
      else expect(savesMinutes).toBe(without?.extraMinutes);
    }
  });

  test.each(SEEDS)('one more, and the best ladder with it, seed %d', (seed) => {
    const { cutters, areas } = catalogue(seed, isNested);
    const ladder = ladderOf(cutters, areas);
    const path = ladder.steps.map(({ at }) => at),
      chosen = run(cutters, areas, path);
    expect(path.length + ladder.leftOut.length).toBe(6);
    for (const { id, reason, extraMinutes, part, added, detail } of ladder.leftOut) {
      const at = cutters.findIndex((cutter) => cutter.id === id);
      const more = [...path, at].sort((a, b) => a - b);
      expect(added?.path).toEqual(more);
      expect(added?.extraMinutes).toBeCloseTo(run(cutters, areas, more).minutes - chosen.minutes, 9);
      expect(added?.moreLeftMm2).toBe(0);
      const [best] = Array.from({ length: 64 }, (_, subset) =>
        cutters.flatMap((_c, c) => (subset & (1 << c) ? [c] : [])),
      )
        .filter((some) => some.includes(at))
        .map((some) => ({ some, ...run(cutters, areas, some) }))
        .filter(({ leftMm2, gains }) => leftMm2 <= chosen.leftMm2 + 1e-9 && gains(at))
        .sort((a, b) => a.minutes - b.minutes);
      expect(extraMinutes).toBeCloseTo(best.minutes - chosen.minutes, 9);
      expect(extraMinutes).toBeLessThanOrEqual((added?.extraMinutes ?? 0) + 1e-9);
      expect(part?.ownMinutes).toBeCloseTo(best.ownOf(at), 9);
      expect(part?.insteadOf).toEqual(path.filter((one) => !best.some.includes(one)));
      const named = (how: string, some: readonly number[]): string =>
        some.length === 0 ? '' : `, ${how} ${some.map((one) => cutters[one].id).join(', ')}`;
      const change =
        named(
          'without',
          path.filter((one) => !best.some.includes(one)),
        ) +
        named(
          'and with',
          best.some.filter((one) => one !== at && !path.includes(one)),
        );
      if (reason === 'saves-too-little')
        expect(detail.replace(/^its [\d.]+ mm² take [\d.]+ min with the change and save /, '')).toMatch(
          new RegExp(`^(nothing|[\\d.]+ min of the others)${change}$`),
        );
      else expect(reason).toBe('reaches-nothing-more');
    }
  });
});

test('largest first: one fewer is the same rule without it', () => {
  for (const seed of SEEDS) {
    const { cutters, areas } = catalogue(seed, false);
    const ladder = ladderOf(cutters, areas, false, 20);
    const chosen = run(
      cutters,
      areas,
      ladder.steps.map(({ at }) => at),
    );
    for (const { at, without, savesMinutes } of ladder.steps) {
      expect(savesMinutes).toBeNull();
      const other = run(cutters, areas, without?.path ?? []);
      expect(without?.path).not.toContain(at);
      expect(without?.extraMinutes).toBeCloseTo(other.minutes - chosen.minutes, 9);
      expect(without?.moreLeftMm2).toBeCloseTo(Math.max(0, other.leftMm2 - chosen.leftMm2), 9);
    }
  }
});

test('why not, in figures', () => {
  const areas = [9000, 10, 690, 200, 100];
  const cutter = (id: string, left: readonly number[], rate: number): Cutter => ({
    id,
    left,
    rate,
    isMill: false,
  });
  const { leftOut } = ladderOf(
    [
      cutter('b10', [0, 1, 1, 1, 1], 1000),
      cutter('b8', [0, 0, 1, 1, 1], 800),
      cutter('b4', [0, 0, 0, 0, 1], 250),
      cutter('b3', [0, 0, 0, 0, 0.999], 200),
    ],
    areas,
    true,
    1,
  );
  expect(leftOut.map(({ id, detail }) => [id, detail])).toEqual([
    // 2 + 10/800 in place of 10/250.
    ['b8', 'its 10 mm² take 2.01 min with the change and save 0.04 min of the others'],
    ['b3', 'it reaches no more than 0.1 mm² that b4 does not'],
  ]);
});

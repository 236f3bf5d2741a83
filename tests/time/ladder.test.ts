import { describe, expect, test } from 'vitest';
import { chooseSteps, type LeftOut, type Step } from '../../src/time/ladder.js';
import type { LadderOptions } from '../../src/time/ladder-search.js';
import type { Candidate } from '../../src/time/ladder-states.js';
import { randomNumbers } from '../support/shapes.js';

interface Rung {
  readonly id: string;
  /** of each facet, 0 .. 1 */
  readonly left: readonly number[];
  readonly rateMm2PerMin: number;
  readonly barred: string | null;
}
const seeds = (count: number) => Array.from({ length: count }, (_, i) => i + 1);
const sum = (terms: readonly number[]): number => terms.reduce((a, b) => a + b, 0);
const leftBy = (rungs: readonly Rung[], areas: readonly number[]): number =>
  sum(areas.map((area, f) => area * Math.min(1, ...rungs.map(({ left }) => left[f]))));

interface Chosen extends Pick<ReturnType<typeof chooseSteps>, 'second'> {
  readonly steps: readonly Step[];
  readonly leftOut: readonly LeftOut[];
}
const toldOf = ({ second, told }: ReturnType<typeof chooseSteps>): Chosen => ({ second, ...told() });

/** Without a blend. */
const candidateOf = ({ id, left, barred }: Pick<Rung, 'id' | 'left' | 'barred'>): Candidate => ({
  id,
  barred,
  left: Float64Array.from(left),
  larger: Float64Array.from(left),
});

/** Minutes at the rate of each cutter, of what it takes of what is left. */
const atRates =
  (
    rungs: readonly Pick<Rung, 'left' | 'rateMm2PerMin'>[],
    areas: readonly number[],
  ): LadderOptions['minutes'] =>
  (before, at) => {
    const { left, rateMm2PerMin } = rungs[at];
    return sum(areas.map((area, f) => area * Math.max(0, (before?.share[f] ?? 1) - left[f]))) / rateMm2PerMin;
  };

/** The choice, at an even rate for each cutter and two minutes for every change. */
function choose(
  rungs: readonly Rung[],
  areas: readonly number[],
  options: Partial<LadderOptions> = {},
): Chosen {
  const choice = chooseSteps(rungs.map(candidateOf), {
    areas: Float64Array.from(areas),
    firstShare: 0,
    leastGainMm2: 1e-6,
    toolChangeMinutes: 2,
    leastGainMinutes: 0,
    byMinutes: true,
    minutes: atRates(rungs, areas),
    ...options,
  });
  return toldOf(choice);
}
const jobMinutes = ({ steps }: Chosen): number => sum(steps.map(({ minutes }) => minutes + 2));
const ids = ({ steps }: Chosen, rungs: readonly Rung[]): string[] => steps.map(({ at }) => rungs[at].id);

/** Nested cutters of a part of 10 000 mm²: what each leaves, mm², not increasing; how fast it is. */
type Nested = readonly (readonly [id: string, leavesMm2: number, rate: number, barred?: string])[];
const TOTAL = 10_000;
/** Facets between what one cutter leaves and the next one does, the last is left by all. */
function nested(list: Nested): { readonly rungs: Rung[]; readonly areas: number[] } {
  const bounds = [TOTAL, ...list.map(([, leaves]) => leaves)];
  return {
    areas: bounds.map((area, i) => area - (bounds[i + 1] ?? 0)),
    rungs: list.map(([id, , rateMm2PerMin, barred = null], c) => ({
      id,
      rateMm2PerMin,
      barred,
      left: bounds.map((_, f) => (f > c ? 1 : 0)),
    })),
  };
}
const chooseNested = (list: Nested, options: Partial<LadderOptions> = {}) => {
  const { rungs, areas } = nested(list);
  const ladder = choose(rungs, areas, options);
  return { ...ladder, minutes: jobMinutes(ladder), ids: ids(ladder, rungs) };
};

/** All subsets, straight from the definition: each cutter finishes what those before it left. */
function bruteForce(rungs: readonly Rung[], areas: readonly number[], mustLeave: number): number {
  let best = Infinity;
  for (let subset = 0; subset < 1 << rungs.length; subset++) {
    const run = rungs.filter((_, c) => subset & (1 << c));
    if (run.some(({ barred }) => barred !== null) || leftBy(run, areas) > mustLeave + 1e-6) continue;
    const minutes = run.map(({ rateMm2PerMin }, i) => {
      const finished = leftBy(run.slice(0, i), areas) - leftBy(run.slice(0, i + 1), areas);
      return 2 + finished / rateMm2PerMin;
    });
    best = Math.min(best, sum(minutes));
  }
  return best;
}

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one table of cases
describe('by minutes, of nested cutters', () => {
  // By hand: 8 mm finishes 9000 in 9 min, 2 mm the last 900 in 9; the 4 mm would save 400/50 - 400/200 = 6,
  // less one change.
  test('a middle cutter pays when it saves more than a change', () => {
    const list = [['b8', 1000, 1000] as const, ['b4', 500, 250] as const, ['b2', 100, 50] as const];
    const { steps, minutes, leftOut } = chooseNested(list);
    expect(steps).toMatchObject([
      { at: 0, minutes: 9, finishedAreaMm2: 9000, leftAreaMm2: 1000 },
      { at: 1, minutes: 2, finishedAreaMm2: 500, leftAreaMm2: 500 },
      { at: 2, minutes: 8, finishedAreaMm2: 400, leftAreaMm2: 100, savesMinutes: null },
    ]);
    expect(minutes).toBe(9 + 2 + 8 + 3 * 2);
    // Without it: 900 / 50 = 18 in place of 2 + 8, and one change less.
    expect(steps[1].savesMinutes).toBeCloseTo(18 - 10 - 2, 9);
    expect(leftOut).toEqual([]);
  });

  // The middle cutter of the test above saves 6 min, its change counted.
  test.each([
    [5.9, ['b8', 'b4', 'b2']],
    [6.1, ['b8', 'b2']],
  ])('and when it saves more than the %d minutes that a cutter must', (leastGainMinutes, expected) => {
    const list = [['b8', 1000, 1000] as const, ['b4', 500, 250] as const, ['b2', 100, 50] as const];
    const { ids: chosen, leftOut } = chooseNested(list, { leastGainMinutes });
    expect(chosen).toEqual(expected);
    for (const { reason, extraMinutes } of leftOut)
      expect([reason, extraMinutes]).toEqual(['saves-too-little', expect.closeTo(-6, 9)]);
  });

  test('of equal times the one with fewer cutters', () => {
    const list = [['b8', 1000, 100] as const, ['b4', 500, 100] as const, ['b2', 0, 100] as const];
    const { ids: chosen, leftOut } = chooseNested(list, { toolChangeMinutes: 0 });
    expect(chosen).toEqual(['b2']);
    expect(leftOut.length).toBe(2);
    for (const { extraMinutes } of leftOut) expect(extraMinutes).toBeCloseTo(0, 9);
  });

  test('left out: slower, nothing more, barred', () => {
    const { ids: chosen, leftOut } = chooseNested([
      ['b10', 1000, 1000],
      ['b9', 1000, 900],
      ['b8', 990, 800],
      ['b6', 300, 400, 'too short'],
      ['b4', 100, 250],
    ]);
    expect(chosen).toEqual(['b10', 'b4']);
    expect(leftOut).toMatchObject([
      { id: 'b9', reason: 'reaches-nothing-more', detail: 'it reaches nothing that b10 does not' },
      { id: 'b8', reason: 'saves-too-little' },
      { id: 'b6', reason: 'barred', detail: 'too short', extraMinutes: null },
    ]);
    // With b8 in place: 10/800 by b8 rather than 10/250 by b4, and one change more.
    expect(leftOut[1].extraMinutes).toBeCloseTo(2 + 10 / 800 - 10 / 250, 9);
  });

  test('one that is barred runs all the same where none that is not reaches as much', () => {
    const list = [['b8', 1000, 100] as const, ['b4', 500, 100, 'short'] as const];
    expect(chooseNested([...list, ['b2', 100, 90, 'short']]).ids).toEqual(['b4', 'b2']);
    expect(chooseNested([...list, ['b2', 100, 90]]).ids).toEqual(['b8', 'b2']);
  });

  test('one small cutter for all where changes are dear; the smallest where nothing can be done', () => {
    const list = [['b8', 1000, 100] as const, ['b2', 0, 90] as const];
    expect(chooseNested(list, { toolChangeMinutes: 60 }).ids).toEqual(['b2']);
    const idle = chooseNested([
      ['b8', TOTAL, 100],
      ['b2', TOTAL, 90],
    ]);
    expect(idle.steps).toMatchObject([{ at: 1, minutes: 0, finishedAreaMm2: 0, leftAreaMm2: TOTAL }]);
    expect(idle.leftOut).toMatchObject([{ reason: 'reaches-nothing-more', detail: 'it reaches nothing' }]);
  });

  test('the first must reach its share: one that does not may still follow, or is left out for it', () => {
    const list = [['b8', 6000, 1000] as const, ['b4', 3000, 100] as const, ['b2', 0, 50] as const];
    expect(chooseNested(list).ids[0]).toBe('b8');
    const { ids: chosen, leftOut } = chooseNested(list, { firstShare: 0.5 });
    expect(chosen).toEqual(['b4', 'b2']);
    const detail = 'it reaches 40 % of what the cutters reach; the first must reach 50 %';
    expect(leftOut).toEqual([
      { id: 'b8', reason: 'below-first-share', detail, extraMinutes: null, part: null, added: null },
    ]);
    // None reaches 90 % of what the smallest leaves: the smallest begins.
    expect(chooseNested(list.slice(0, 2), { firstShare: 0.9 }).ids).toEqual(['b4']);
  });

  test.each([0.2, 0.6, 0.95])(
    'where none reaches %d of the part, the share is of what they reach',
    (left) => {
      const nobody = left * TOTAL,
        rest = TOTAL - nobody;
      const list = [
        ['b8', nobody + 0.4 * rest, 1000] as const,
        ['b4', nobody + 0.1 * rest, 100] as const,
        ['b2', nobody, 10] as const,
      ];
      expect(chooseNested(list, { firstShare: 0.5 }).ids).toEqual(['b8', 'b4', 'b2']);
      expect(chooseNested(list, { firstShare: 0.7 }).ids).toEqual(['b4', 'b2']);
      expect(chooseNested(list, { firstShare: 0.95 }).ids).toEqual(['b2']);
    },
  );

  test.each(seeds(60))('agrees with brute force over all subsets, seed %d', (seed) => {
    const random = randomNumbers(seed);
    const count = 1 + Math.floor(random() * 8);
    const leaves = Array.from({ length: count }, () => Math.round(random() ** 3 * TOTAL));
    leaves.sort((a, b) => b - a);
    const { rungs, areas } = nested(
      leaves.map((mm2, i) => {
        const rate = 20 + 2000 * random() * (1 - i / count);
        return random() < 0.15
          ? ([`c${i}`, mm2, rate, 'too short'] as const)
          : ([`c${i}`, mm2, rate] as const);
      }),
    );
    // Barred cutters that reach what no other does are used all the same.
    const most = leftBy(
      rungs.filter(({ barred }) => barred === null),
      areas,
    );
    const free = rungs.map((rung, c) => (leaves[c] < most - 1e-6 ? { ...rung, barred: null } : rung));
    const least = leftBy(
      free.filter(({ barred }) => barred === null),
      areas,
    );
    const ladder = choose(rungs, areas);
    const minutes = jobMinutes(ladder);
    if (TOTAL - least > 1e-6) expect(minutes).toBeCloseTo(bruteForce(free, areas, least), 9);
    for (const { at, savesMinutes } of ladder.steps) {
      const without = bruteForce(
        free.filter((_, c) => c !== at),
        areas,
        least,
      );
      if (savesMinutes === null) expect(without).toBe(Infinity);
      else expect(minutes + savesMinutes).toBeCloseTo(without, 9);
    }
    for (const { extraMinutes } of ladder.leftOut) expect(extraMinutes ?? 0).toBeGreaterThan(-1e-9);
    expect(ladder.steps.length + ladder.leftOut.length).toBe(count);
  });
});

describe('largest first, of any shapes', () => {
  test('a bull-nose for the floor and a ball for the fillet: neither reaches what the other does', () => {
    const rungs = [
      { id: 'bull', rateMm2PerMin: 100, barred: null, left: [0, 1, 1, 0.5] },
      { id: 'ball', rateMm2PerMin: 10, barred: null, left: [1, 0, 1, 0.25] },
      { id: 'ball2', rateMm2PerMin: 9, barred: null, left: [1, 0, 1, 0.75] },
    ];
    const { steps, leftOut } = choose(rungs, [500, 78, 20, 8], { byMinutes: false, firstShare: 0.5 });
    expect(steps).toMatchObject([
      {
        at: 0,
        finishedAreaMm2: 504,
        // Both leave the third, and a quarter of the last.
        left: {
          share: Float64Array.of(0, 1, 1, 0.5),
          larger: Float64Array.of(0, 1, 1, 0.5),
          faces: Uint32Array.of(1, 3),
        },
        leftAreaMm2: 102,
        minutes: 5.04,
        savesMinutes: null,
        // Neither ball may begin.
        without: { path: [], extraMinutes: -(5.04 + 2 + 8 + 2), moreLeftMm2: 606 - 22 },
      },
      {
        at: 1,
        finishedAreaMm2: 80,
        left: {
          share: Float64Array.of(0, 0, 1, 0.25),
          larger: Float64Array.of(0, 0, 1, 0.25),
          faces: Uint32Array.of(),
        },
        leftAreaMm2: 22,
        minutes: 8,
        savesMinutes: null,
        without: { path: [0, 2], extraMinutes: expect.closeTo(78 / 9 - 8, 9), moreLeftMm2: 2 },
      },
    ]);
    const detail = 'it reaches nothing that the cutters before it do not';
    expect(leftOut).toEqual([
      { id: 'ball2', reason: 'reaches-nothing-more', detail, extraMinutes: null, part: null, added: null },
    ]);
  });

  test('one that reaches too little to begin is not used', () => {
    const rungs = [
      { id: 'big', rateMm2PerMin: 100, barred: null, left: [0, 1, 1] },
      { id: 'mid', rateMm2PerMin: 10, barred: 'short', left: [1, 0, 1] },
      { id: 'low', rateMm2PerMin: 9, barred: null, left: [0, 1, 0] },
    ];
    const ladder = choose(rungs, [30, 60, 10], { byMinutes: false, firstShare: 0.5 });
    expect(ids(ladder, rungs)).toEqual(['mid', 'low']);
    const detail = 'it reaches 30 % of what the cutters reach; the first must reach 50 %';
    expect(ladder.leftOut).toMatchObject([
      { id: 'big', reason: 'below-first-share', detail, extraMinutes: null },
    ]);
  });

  test.each(seeds(40))('agrees with running the cutters over the facets one by one, seed %d', (seed) => {
    const random = randomNumbers(1000 + seed);
    const count = 1 + Math.floor(random() * 6);
    const areas = Array.from({ length: 40 }, () => random() * 100),
      total = sum(areas);
    const rungs = Array.from({ length: count }, (_, i) => ({
      id: `c${i}`,
      rateMm2PerMin: 5 + 50 * random(),
      barred: null,
      left: areas.map(() => Math.max(0, 2 * random() - 1)),
    }));
    const ladder = choose(rungs, areas, { byMinutes: false, firstShare: 0.7, leastGainMm2: 100 });
    const left = areas.map(() => 1);
    const expected: number[] = [];
    const alone = rungs.map((rung) => leftBy([rung], areas)),
      together = leftBy(rungs, areas);
    const mayLeave = Math.max(together + 0.3 * (total - together), Math.min(...alone));
    rungs.forEach((rung, c) => {
      if (expected.length === 0 && alone[c] > mayLeave * (1 + 1e-9)) return;
      const gain = sum(areas.map((area, f) => area * Math.max(0, left[f] - rung.left[f])));
      if (expected.length > 0 && gain <= 100) return;
      rung.left.forEach((share, f) => {
        left[f] = Math.min(left[f], share);
      });
      const step = ladder.steps[expected.length];
      expect(step.finishedAreaMm2).toBeCloseTo(gain, 9);
      expect(step.minutes).toBeCloseTo(gain / rung.rateMm2PerMin, 9);
      expect(step.leftAreaMm2).toBeCloseTo(sum(areas.map((area, f) => area * left[f])), 9);
      expected.push(c);
    });
    expect(ladder.steps.map(({ at }) => at)).toEqual(expected);
    expect(ladder.steps.length + ladder.leftOut.length).toBe(count);
  });
});

describe('by minutes, of mixed kinds', () => {
  // Three mills and three balls over facets of four kinds: floor, wall foot, fillet, corner. Nothing is nested.
  interface Mixed extends Rung {
    readonly isMill: boolean;
  }
  const minutesOf = (rungs: readonly Mixed[], areas: readonly number[], run: readonly number[]): number =>
    run.reduce((sum, at, i) => {
      const left = (f: number, upTo: number): number =>
        Math.min(1, ...run.slice(0, upTo).map((other) => rungs[other].left[f]));
      const finished = areas.reduce((total, area, f) => total + area * (left(f, i) - left(f, i + 1)), 0);
      return sum + 2 + finished / rungs[at].rateMm2PerMin;
    }, 0);

  // Half of them with the least that must follow, half without: it must change nothing but what is looked at. A third
  // each with nothing, 2 and 9 minutes that a cutter must save.
  test.each(seeds(80))('agrees with brute force over all subsets of six cutters, seed %d', (seed) => {
    const isBound = seed % 2 === 0,
      leastGainMinutes = [0, 2, 9][seed % 3];
    const random = randomNumbers(5000 + seed);
    const areas = Array.from({ length: 24 }, () => 10 + 100 * random());
    const rungs = Array.from({ length: 6 }, (_, c): Mixed => {
      const isMill = c < 3,
        fit = 0.3 + 0.6 * random();
      return {
        id: `c${c}`,
        isMill,
        barred: null,
        rateMm2PerMin: (isMill ? 200 : 20) * (0.2 + random()),
        // Mills leave fillets as they are; whole and part facets are left by both.
        left: areas.map((_area, f) =>
          isMill && f >= 12 ? 1 : random() < fit ? 0 : random() < 0.5 ? 1 : random(),
        ),
      };
    });
    const choice = chooseSteps(
      rungs.map(({ isMill, ...own }): Candidate => ({ ...candidateOf(own), isMill })),
      {
        areas: Float64Array.from(areas),
        firstShare: 0,
        leastGainMm2: 1e-9,
        toolChangeMinutes: 2,
        leastGainMinutes,
        byMinutes: true,
        minutes: atRates(rungs, areas),
        ...(isBound
          ? { leastRate: (at) => new Float64Array(areas.length).fill(1 / rungs[at].rateMm2PerMin) }
          : {}),
      },
    );
    const ladder = toldOf(choice);
    const all = rungs.map((_, c) => c);
    const least = leftBy(rungs, areas);
    const complete = Array.from({ length: 64 }, (_, subset) => all.filter((c) => subset & (1 << c)))
      .filter(
        (run) =>
          leftBy(
            run.map((c) => rungs[c]),
            areas,
          ) <=
          least + 1e-9,
      )
      .map((run) => ({ run, minutes: minutesOf(rungs, areas, run) }))
      .sort((a, b) => a.minutes - b.minutes + leastGainMinutes * (a.run.length - b.run.length));
    expect(jobMinutes(ladder)).toBeCloseTo(complete[0].minutes, 9);
    expect(ladder.steps.map(({ at }) => at)).toEqual(complete[0].run);
    // A cutter that reaches nothing more is in no second best.
    const gains = (run: readonly number[]): boolean =>
      run.every((_, i) => {
        const upTo = (count: number): number =>
          leftBy(
            run.slice(0, count).map((c) => rungs[c]),
            areas,
          );
        return upTo(i) - upTo(i + 1) > 1e-9;
      });
    const next = complete.slice(1).find(({ run }) => gains(run));
    expect(ladder.second === null).toBe(next === undefined);
    if (next) expect(ladder.second?.extraMinutes).toBeCloseTo(next.minutes - complete[0].minutes, 9);
    for (const { at, savesMinutes } of ladder.steps) {
      const without = complete.find(({ run }) => !run.includes(at));
      if (!without) expect(savesMinutes).toBeNull();
      else expect(savesMinutes).toBeCloseTo(without.minutes - complete[0].minutes, 9);
    }
  });
});

test('refuses', () => {
  expect(() => choose([], [1])).toThrow('chooseSteps: no cutter');
  const rung = { id: 'a', rateMm2PerMin: 1, barred: null, left: [0] };
  expect(() => choose([rung], [1, 2])).toThrow('chooseSteps: 1 shares, 2 areas');
});

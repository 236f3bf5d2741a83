import { describe, expect, test } from 'vitest';
import { nestedLadder, type Rung } from '../../src/time/ladder.js';
import { mixedLadder } from '../../src/time/mixed-ladder.js';
import { randomNumbers } from '../support/shapes.js';

const rung = (id: string, unreachedAreaMm2: number, rate: number, barred: string | null = null): Rung => ({
  id,
  unreachedAreaMm2,
  rateMm2PerMin: rate,
  barred,
});
const seeds = (count: number) => Array.from({ length: count }, (_, i) => i + 1);
const options = { totalAreaMm2: 10_000, toolChangeMinutes: 2, areaToleranceMm2: 1e-6 };

/** All subsets, straight from the definition: each cutter finishes what those before it left. */
function bruteForce(rungs: readonly Rung[], least: number): number {
  let best = Infinity;
  for (let subset = 0; subset < 1 << rungs.length; subset++) {
    let left = options.totalAreaMm2,
      minutes = 0;
    rungs.forEach((at, c) => {
      if (!(subset & (1 << c))) return;
      minutes += at.barred === null ? 2 + (left - at.unreachedAreaMm2) / at.rateMm2PerMin : Infinity;
      left = at.unreachedAreaMm2;
    });
    if (left <= least + 1e-6) best = Math.min(best, minutes);
  }
  return best;
}

describe('nested cutters', () => {
  // By hand: 8 mm finishes 9000 in 9 min, 2 mm the last 900 in 9; the 4 mm would save 400/50 - 400/200 = 6,
  // less one change.
  test('a middle cutter pays when it saves more than a change', () => {
    const rungs = [rung('b8', 1000, 1000), rung('b4', 500, 250), rung('b2', 100, 50)];
    const { steps, minutes, unreachedAreaMm2, whyLeftOut } = nestedLadder(rungs, options);
    expect(steps.map(({ id, minutes: m }) => [id, m])).toEqual([
      ['b8', 9],
      ['b4', 2],
      ['b2', 8],
    ]);
    expect(minutes).toBe(9 + 2 + 8 + 3 * 2);
    // Without it: 900 / 50 = 18 in place of 2 + 8, and one change less.
    expect(steps[1].savesMinutes).toBeCloseTo(18 - 10 - 2, 9);
    expect(steps[2].savesMinutes).toBeNull();
    expect([unreachedAreaMm2, whyLeftOut]).toEqual([100, []]);
  });

  test('of equal times the one with fewer cutters', () => {
    const rungs = [rung('b8', 1000, 100), rung('b4', 500, 100), rung('b2', 0, 100)];
    const { steps, whyLeftOut } = nestedLadder(rungs, { ...options, toolChangeMinutes: 0 });
    expect(steps.map(({ id }) => id)).toEqual(['b2']);
    for (const { extraMinutes } of whyLeftOut) expect(extraMinutes).toBeCloseTo(0, 9);
  });

  test('left out: slower, nothing more, barred', () => {
    const rungs = [
      rung('b10', 1000, 1000),
      rung('b9', 1000, 900),
      rung('b8', 990, 800),
      rung('b6', 300, 400, 'too short'),
      rung('b4', 100, 250),
    ];
    const { steps, whyLeftOut } = nestedLadder(rungs, options);
    expect(steps.map(({ id }) => id)).toEqual(['b10', 'b4']);
    expect(whyLeftOut.map(({ id, reason }) => [id, reason])).toEqual([
      ['b9', 'reaches-nothing-more'],
      ['b8', 'slower'],
      ['b6', 'barred'],
    ]);
    expect(whyLeftOut[0].detail).toContain('b10');
    // With b8 in place: 10/800 by b8 rather than 10/250 by b4, and one change more.
    expect(whyLeftOut[1].extraMinutes).toBeCloseTo(2 + 10 / 800 - 10 / 250, 9);
    expect(whyLeftOut[2].extraMinutes).toBeNull();
  });

  test('one small cutter for all where changes are dear; none where nothing can be done', () => {
    const rungs = [rung('b8', 1000, 100), rung('b2', 0, 90)];
    const { steps } = nestedLadder(rungs, { ...options, toolChangeMinutes: 60 });
    expect(steps.map(({ id }) => id)).toEqual(['b2']);
    expect(nestedLadder([rung('b8', 10_000, 100)], options)).toMatchObject({ steps: [], minutes: 0 });
    expect(nestedLadder([], options)).toEqual({
      steps: [],
      minutes: 0,
      unreachedAreaMm2: 10_000,
      whyLeftOut: [],
    });
  });

  test.each(seeds(60))('agrees with brute force over all subsets, seed %d', (seed) => {
    const random = randomNumbers(seed);
    const count = 1 + Math.floor(random() * 8);
    const areas = Array.from({ length: count }, () => Math.round(random() ** 3 * 10_000));
    areas.sort((a, b) => b - a);
    const rungs = areas.map((area, i) =>
      rung(`c${i}`, area, 20 + 2000 * random() * (1 - i / count), random() < 0.15 ? 'too short' : null),
    );
    const usable = rungs.filter((at) => at.barred === null);
    const least = usable.length > 0 ? usable[usable.length - 1].unreachedAreaMm2 : 10_000;
    const ladder = nestedLadder(rungs, options);
    expect(ladder.minutes).toBeCloseTo(bruteForce(rungs, least), 9);
    const paid = ladder.steps.reduce((sum, step) => sum + step.minutes + 2, 0);
    expect(paid).toBeCloseTo(ladder.minutes, 9);
    for (const step of ladder.steps) {
      const without = bruteForce(
        rungs.filter(({ id }) => id !== step.id),
        least,
      );
      if (step.savesMinutes === null) expect(without).toBe(Infinity);
      else expect(ladder.minutes + step.savesMinutes).toBeCloseTo(without, 9);
    }

    // The same nested areas as bit sets over facets: facet i is reached by cutter i and all smaller ones.
    const bounds = [10_000, ...areas];
    const facets = Float64Array.from(bounds, (area, i) => area - (bounds[i + 1] ?? 0));
    const all = (1 << count) - 1;
    const reached = Uint32Array.from(bounds, (_, i) => (i === count ? 0 : all & ~((1 << i) - 1)));
    const mixed = mixedLadder(rungs, { ...options, areas: facets, reached });
    expect(mixed.minutes).toBeCloseTo(ladder.minutes, 9);
    expect(mixed.unreachedAreaMm2).toBeCloseTo(ladder.unreachedAreaMm2, 6);
    expect(mixed.steps.map(({ id }) => id)).toEqual(ladder.steps.map(({ id }) => id));
  });
});

describe('cutters of mixed shapes', () => {
  test.each(seeds(40))('agrees with running every subset over the facets, seed %d', (seed) => {
    const random = randomNumbers(1000 + seed);
    const count = 1 + Math.floor(random() * 6),
      all = (1 << count) - 1;
    const areas = Float64Array.from({ length: 40 }, () => random() * 100);
    const reached = Uint32Array.from({ length: 40 }, () => Math.floor(random() * (all + 1)));
    const rungs = Array.from({ length: count }, (_, i) => ({
      id: `c${i}`,
      rateMm2PerMin: 5 + 50 * random(),
      barred: null,
    }));
    let best = Infinity;
    const anyReaches = areas.filter((_, f) => reached[f] !== 0).reduce((a, b) => a + b, 0);
    for (let subset = 0; subset <= all; subset++) {
      const done = new Set<number>();
      let minutes = 0,
        finished = 0;
      rungs.forEach((at, c) => {
        if (!(subset & (1 << c))) return;
        minutes += 2;
        areas.forEach((area, f) => {
          if (done.has(f) || !(reached[f] & (1 << c))) return;
          done.add(f);
          finished += area;
          minutes += area / at.rateMm2PerMin;
        });
      });
      if (finished > anyReaches - 1e-6) best = Math.min(best, minutes);
    }
    const ladder = mixedLadder(rungs, { areas, reached, toolChangeMinutes: 2, areaToleranceMm2: 1e-6 });
    expect(ladder.minutes).toBeCloseTo(best, 9);
    expect(ladder.steps.length + ladder.whyLeftOut.length).toBe(count);
    for (const left of ladder.whyLeftOut) expect(left.extraMinutes).toBeGreaterThan(-1e-9);
  });

  test('a bull-nose for the floor and a ball for the fillet: neither reaches what the other does', () => {
    const rungs = [
      { id: 'bull', rateMm2PerMin: 100, barred: null },
      { id: 'ball', rateMm2PerMin: 10, barred: null },
      { id: 'ball2', rateMm2PerMin: 9, barred: null },
    ];
    const ladder = mixedLadder(rungs, {
      areas: Float64Array.of(500, 80, 20),
      reached: Uint32Array.of(0b001, 0b110, 0),
      toolChangeMinutes: 1,
      areaToleranceMm2: 0,
    });
    const slower = expect.closeTo(80 / 9 - 8, 9);
    expect(ladder.steps).toEqual([
      { id: 'bull', finishedAreaMm2: 500, unreachedAreaMm2: 100, minutes: 5, savesMinutes: null },
      { id: 'ball', finishedAreaMm2: 80, unreachedAreaMm2: 20, minutes: 8, savesMinutes: slower },
    ]);
    expect(ladder.whyLeftOut).toEqual([
      {
        id: 'ball2',
        reason: 'reaches-nothing-more',
        detail: expect.any(String),
        extraMinutes: slower,
      },
    ]);
  });
});

test('refuses', () => {
  expect(() => nestedLadder([rung('a', 10, 1), rung('b', 20, 1)], options)).toThrow(/b leaves 20/);
  expect(() => nestedLadder([rung('a', 10, 0)], options)).toThrow(RangeError);
  const many = Array.from({ length: 17 }, (_, i) => ({ id: `${i}`, rateMm2PerMin: 1, barred: null }));
  const none = {
    areas: new Float64Array(0),
    reached: new Uint32Array(0),
    toolChangeMinutes: 1,
    areaToleranceMm2: 0,
  };
  expect(() => mixedLadder(many, none)).toThrow(RangeError);
  expect(() => mixedLadder(many.slice(1), { ...none, reached: new Uint32Array(1) })).toThrow(RangeError);
});

import { describe, expect, test } from 'vitest';
import { reachOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';

const { PI, abs, asinh, cos, sin, sqrt } = Math;
const TOLERANCE = 0.02;
/**
 * Gaps are as exact as facets are true: to a tenth of the tolerance, and to a tenth of the sagitta, which is told from
 * means of facets.
 */
const exactness = (sagitta: number): number => 0.1 * TOLERANCE + 0.1 * sagitta;
/** What sums over some hundred points may be off by. */
const SAMPLED = 0.03;
const NUMBER = '([\\d.e+-]+)';

interface Told {
  readonly count: number;
  readonly whereMm: readonly [number, number, number];
  readonly errorMm: number;
  readonly areaMm2: number;
  /** null: no radius is in doubt */
  readonly spread: { radiusMm: number; lowMm2: number; highMm2: number; readMm2: number } | null;
}

/** What the finding says, if there is one; and what the survey reads. */
async function told(
  corners: Float64Array,
  radiiMm: readonly number[],
): Promise<{ readonly finding: Told | null; readonly unreachedMm2: readonly number[] }> {
  const { reach, unreachedMm2 } = await reachOf(corners, radiiMm, TOLERANCE);
  const found = (await reach.left()).findings.filter(({ code }) => code === 'reach.chord-error');
  if (found.length === 0) return { finding: null, unreachedMm2 };
  const [{ count, whereMm, message }] = found;
  const numbers = (pattern: string): number[] =>
    (message.match(new RegExp(pattern.replaceAll('#', NUMBER)))?.slice(1) ?? []).map(Number);
  const [errorMm, areaMm2] = numbers('by up to # mm, more than .* on # mm²');
  const [radiusMm, lowMm2, highMm2, readMm2] = numbers('R # would leave # to # mm² unreached \\(# as');
  if (radiusMm === undefined) expect(message).toContain('no surveyed ball would leave more or less');
  return {
    unreachedMm2,
    finding: {
      count,
      whereMm: whereMm ?? [NaN, NaN, NaN],
      errorMm,
      areaMm2,
      spread: radiusMm === undefined ? null : { radiusMm, lowMm2, highMm2, readMm2 },
    },
  };
}

/** The largest number, from `low` to `high`, that fits, where all smaller ones do. */
function bisected(fits: (x: number) => boolean, low: number, high: number): number {
  let [good, bad] = [low, high];
  for (let i = 0; i < 40; i++) {
    const middle = 0.5 * (good + bad);
    if (fits(middle)) good = middle;
    else bad = middle;
  }
  return good;
}

/** Rounding to three digits. */
const expectAbout = (found: number | undefined, expected: number, share = 0.006): void => {
  expect(abs((found ?? NaN) - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(
    share * expected,
  );
};

describe('bore of radius 5', () => {
  const DEPTH = 12;
  const sagitta = (n: number): number => 5 * (1 - cos(PI / n));
  const wall = (n: number): number => n * 10 * sin(PI / n) * DEPTH;
  const bore = (n: number): Float64Array => shapes.turned(shapes.bore(5, DEPTH, n, true), 7.7);

  // R (1 - cos(π / n)) is 0.0190 mm for n = 36 and 0.0201 for 35: the tolerance lies between.
  test.each([36, 72])('%d chords are within the tolerance: no finding', async (n) => {
    expect(sagitta(n)).toBeLessThan(TOLERANCE);
    expect((await told(bore(n), [4, 5, 5.03])).finding).toBeNull();
  });

  test.each([35, 24, 16])('%d chords: error, area, number and place', async (n) => {
    const { finding } = await told(bore(n), [4]);
    expectAbout(finding?.errorMm, sagitta(n), 0.05);
    expectAbout(finding?.areaMm2, wall(n));
    expect(finding?.count).toBe(2 * n);
    const [x, y, z] = finding?.whereMm ?? [NaN, NaN, NaN];
    // Inside a chord, so off the wall by no more than its sagitta.
    expect(abs(sqrt(x * x + y * y) - 5)).toBeLessThanOrEqual(1.01 * sagitta(n));
    expect(z).toBeGreaterThan(-DEPTH);
  });

  // The bore lies between 5 cos(π / n), the chords, and as much wider than 5: what is larger fits in none of them,
  // what is smaller in all, and between the two the whole wall is in doubt, but for what is reached over its rim. The
  // tolerance adds little: a ball that is too large does not go in.
  test.each([24, 16])(
    '%d chords: balls in doubt are those within the chord error of its radius',
    async (n) => {
      const e = sagitta(n);
      expect((await told(bore(n), [4])).finding?.spread).toBeNull();
      const smaller = await told(bore(n), [5 - 1.7 * e]);
      expect(smaller.finding?.spread?.highMm2 ?? 0).toBeLessThan(0.065 * wall(n));
      for (const radius of [5 - 0.5 * e, 5, 5 + 0.8 * e]) {
        const { finding, unreachedMm2 } = await told(bore(n), [radius]);
        expect(finding?.spread?.lowMm2).toBeLessThan(0.01 * wall(n));
        expect(finding?.spread?.highMm2).toBeGreaterThan(0.97 * wall(n));
        expectAbout(finding?.spread?.readMm2, unreachedMm2[0]);
      }
      const { finding } = await told(bore(n), [5 + 1.3 * e]);
      expect(finding?.spread?.lowMm2).toBeGreaterThan(0.95 * wall(n));
    },
  );

  test('of several radii the one most in doubt is told', async () => {
    expect((await told(bore(24), [2, 5, 8])).finding?.spread?.radiusMm).toBe(5);
  });
});

// A ball of R > rho hangs d = (R - rho) / cos(phi / 2) over the axis of a fillet rho between planes that turn by phi, and
// misses a point of it, ψ off its middle, by sqrt(rho² + d² + 2 rho d cos ψ) - R; a smaller one by less than nothing, as
// if gaps had grown straight from the largest that reaches to one larger by eight chord errors.
describe('ball smaller than a fillet', () => {
  // Long, for at its ends, which are open, larger balls come nearer.
  const LENGTH = 40;
  test.each(
    [
      [90, 3, 3],
      [90, 5, 4],
      [120, 2, 4],
    ].flatMap(([turning, rho, n]) => [0.3, 0.8, 1.3, 3].map((part) => [turning, rho, n, part] as const)),
  )(
    'turning %d, fillet %d of %d chords, %d of the margin below: area in doubt',
    async (turning, rho, n, part) => {
      const half = (turning * PI) / 360;
      const e = rho * (1 - cos(half / n));
      // What would do in the middle, where gaps grow 1 / cos(phi / 2) - 1 times as fast as radii.
      const radius = rho - (part * (e - TOLERANCE)) / (1 / cos(half) - 1);
      const to = radius + 8 * e,
        steps = 2000;
      const isInDoubt = (psi: number, t: number): boolean => {
        const gap = (ball: number): number => {
          const d = (ball - rho) / cos(half);
          return sqrt(rho * rho + d * d + 2 * rho * d * cos(psi)) - ball;
        };
        const largest = bisected((ball) => gap(ball) <= t, rho, 10 * rho);
        const slope = (gap(to) - t) / (to - largest);
        return largest < to && (largest - radius) * Math.min(1, slope) <= e;
      };
      const angles = Array.from({ length: steps }, (_, i) => (half * (i + 0.5)) / steps);
      const wholeMm2 = 2 * half * rho * LENGTH;
      const doubtful = [exactness(e), -exactness(e)].map(
        (shift) => (wholeMm2 / steps) * angles.filter((psi) => isInDoubt(psi, TOLERANCE + shift)).length,
      );
      const groove = shapes.vGroove({
        turningDeg: turning,
        arm: 10,
        length: LENGTH,
        fillet: rho,
        filletFacets: n,
      });
      const { finding, unreachedMm2 } = await told(shapes.turned(groove, 31.9), [radius]);
      expect(unreachedMm2[0]).toBe(0);
      const found = finding?.spread?.highMm2 ?? 0;
      expect(found).toBeGreaterThanOrEqual(Math.min(...doubtful) - SAMPLED * wholeMm2);
      expect(found).toBeLessThanOrEqual(Math.max(...doubtful) + SAMPLED * wholeMm2);
    },
  );

  test('much smaller: in no doubt', async () => {
    const groove = shapes.vGroove({ turningDeg: 90, arm: 10, length: LENGTH, fillet: 3, filletFacets: 3 });
    const { finding } = await told(groove, [0.5, 1, 2]);
    expect(finding?.count).toBe(6);
    expect(finding?.spread).toBeNull();
  });
});

// A trough z = x² / 2p, freeform: nowhere round. A ball of R > p rests on it at x0 = ±sqrt(R² - p²), its centre at
// height (p² + R²) / 2p, from where the normals there start; what it misses by more than t lies within
// x² = x0² - 2p sqrt(2Rt + t²) (Pythagoras), an arc of (x sqrt(1 + x² / p²) + p asinh(x / p)) / 2 to either side.
describe('trough of parabolic section', () => {
  const LENGTH = 20;
  const height = (x: number, p: number): number => (x * x) / (2 * p);
  const trough = (p: number, n: number): Float64Array => {
    const section = Array.from({ length: n + 1 }, (_, k): [number, number] => {
      const x = p - (2 * p * k) / n;
      return [x, height(x, p)];
    });
    const out = p + 8;
    const corners: [number, number][] = [
      [-out, -8],
      [out, -8],
      [out, p / 2],
    ];
    return shapes.turned(extrude([...corners, ...section, [-out, p / 2]], 0, LENGTH), 17.9);
  };
  const gap = (radius: number, x: number, p: number): number => {
    const centre = (p * p + radius * radius) / (2 * p);
    return radius * radius <= p * p + x * x ? 0 : sqrt(x * x + (centre - height(x, p)) ** 2) - radius;
  };
  /** Largest radius with a gap of no more than t. */
  const reachAt = (x: number, p: number, t: number): number =>
    bisected((radius) => gap(radius, x, p) <= t, sqrt(p * p + x * x), 4 * p);
  /**
   * Area, mm², of which the rule of `inDoubt` counts points as unreached, gaps and sagittas in closed form.
   *
   * @param t tolerance less what gaps are told too large by
   */
  const expected = (radius: number, p: number, n: number, t: number): { low: number; high: number } => {
    const steps = 4000,
      wide = (2 * p) / n;
    let low = 0,
      high = 0;
    for (let i = 0; i < steps; i++) {
      const x = p * (((i + 0.5) / steps) * 2 - 1);
      const middle = -p + (Math.floor((x + p) / wide) + 0.5) * wide;
      const e = height(wide / 2, p) / sqrt(1 + (middle / p) ** 2);
      const reach = reachAt(x, p, t);
      const to = reach < radius ? radius : radius + 8 * height(p / n, p);
      const slope = (gap(to, x, p) - t) / (to - reach);
      const doubtful =
        e > TOLERANCE &&
        abs(radius - reach) < 8 * height(p / n, p) &&
        abs(radius - reach) * Math.min(1, slope) <= e;
      const area = (LENGTH * sqrt(1 + (x / p) ** 2) * 2 * p) / steps;
      if (reach < radius && !doubtful) low += area;
      if (reach < radius || doubtful) high += area;
    }
    return { low, high };
  };

  test.each([
    [6, 8, 6.6],
    [6, 9, 6.4],
    [6, 9, 6.75],
    [15, 12, 16],
    [15, 17, 16.6],
  ])(
    'bottom radius %d, %d chords, R %d: the true unreached area lies within what is told',
    async (p, n, radius) => {
      const { finding } = await told(trough(p, n), [radius]);
      const square = radius ** 2 - p ** 2 - 2 * p * sqrt(2 * radius * TOLERANCE + TOLERANCE ** 2);
      const x = sqrt(Math.max(0, square));
      const area = LENGTH * (x * sqrt(1 + (x / p) ** 2) + p * asinh(x / p));
      expectAbout(finding?.errorMm, height(p / n, p), 0.1);
      const { lowMm2, highMm2 } = finding?.spread ?? { lowMm2: NaN, highMm2: NaN };
      expect(lowMm2).toBeLessThanOrEqual(area);
      expect(highMm2).toBeGreaterThanOrEqual(area);
      const off = exactness(height(p / n, p));
      const [least, most] = [off, -off].map((shift) => expected(radius, p, n, TOLERANCE + shift));
      const sampled = SAMPLED * most.high;
      expect(lowMm2).toBeGreaterThanOrEqual(least.low - sampled);
      expect(lowMm2).toBeLessThanOrEqual(most.low + sampled);
      expect(highMm2).toBeGreaterThanOrEqual(least.high - sampled);
      expect(highMm2).toBeLessThanOrEqual(most.high + sampled);
    },
  );

  test('a ball smaller than the trough is anywhere is in no doubt', async () => {
    expect((await told(trough(6, 8), [3, 5])).finding?.spread).toBeNull();
  });
});

test('planes only: no finding, whatever is not reached', async () => {
  const { finding, unreachedMm2 } = await told(
    shapes.turned(shapes.boxPocket({ width: 30, length: 20, depth: 10 }), 17.3),
    [2],
  );
  expect(unreachedMm2[0]).toBeGreaterThan(100);
  expect(finding).toBeNull();
});

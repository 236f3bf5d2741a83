import { expect, test } from 'vitest';
import { polylineSeconds } from '../../src/time/polyline-time.js';
import { naiveSeconds, restToRestSeconds, zigZagSeconds } from '../../src/time/segment-time.js';

const dynamics = { accelerationMmPerS2: 2000, jerkMmPerS3: null, blockTimeMs: 0, cornerToleranceMm: 0.01 };
const line = (...xs: number[]) => Float64Array.from(xs.flatMap((x) => [x * 0.6, x * 0.64, x * 0.48]));
const circle = (radius: number, n: number) =>
  Float64Array.from(
    Array.from({ length: n + 1 }, (_, i) => {
      const t = (2 * Math.PI * i) / n;
      return [radius * Math.cos(t), radius * Math.sin(t), 1];
    }).flat(),
  );

// Closed form: trapezoid, textbook. F5000 a2000 L20: 0.281667 s.
test('one straight block, or the same in pieces and with doubled points: the trapezoid', () => {
  expect(polylineSeconds(line(0, 20), 5000, dynamics)).toBeCloseTo(0.281667, 6);
  expect(polylineSeconds(line(0, 1, 1, 4, 19.5, 20), 5000, dynamics)).toBeCloseTo(0.281667, 6);
  expect(polylineSeconds(line(0, 0.5, 1), 5000, dynamics)).toBeCloseTo(0.0447214, 6);
  expect(polylineSeconds(line(0), 5000, dynamics)).toBe(0);
});

test('with a jerk limit one long block takes the S-curve time', () => {
  const limited = { ...dynamics, jerkMmPerS3: 50_000 };
  expect(polylineSeconds(line(0, 20), 5000, limited)).toBeCloseTo(restToRestSeconds(20, 5000, limited), 9);
});

test('zig-zag: turning back is a stop, so the closed form holds', () => {
  const there = Array.from({ length: 8 }, (_, i) => (i % 2 === 0 ? [0, 30] : [30, 0])).flat();
  const closedForm = zigZagSeconds(30, 8, 0, 5000, dynamics);
  expect(polylineSeconds(line(...there), 5000, dynamics)).toBeCloseTo(closedForm, 9);
});

// √(a rho): rho 1, a 2000: 2683 mm/min; block time: 0.1 mm in 10 ms: 600 mm/min.
test('circle: centripetal speed in the limit of a fine polygon', () => {
  const fine = { ...dynamics, cornerToleranceMm: 10 };
  const steady = naiveSeconds(2 * Math.PI, 2683.28);
  const ramps = 2683.28 / 60 / 2000;
  expect(polylineSeconds(circle(1, 720), 10_000, fine)).toBeCloseTo(steady + ramps, 2);
});
test('short blocks are held to the block time', () => {
  const points = line(...Array.from({ length: 1001 }, (_, i) => i / 10));
  const slow = polylineSeconds(points, 5000, { ...dynamics, blockTimeMs: 10 });
  expect(slow).toBeCloseTo(restToRestSeconds(100, 600, dynamics), 6);
});

test('a corner takes as long whichever way it lies in space', () => {
  const bend = [
    [0, 0, 0],
    [15, 0, 0],
    [15 + 6, 8, 0],
  ];
  const flat = Float64Array.from(bend.flat());
  // Rotation with the columns (2, 3, 6), (3, -6, 2), (6, 2, -3) over 7.
  const turned = Float64Array.from(
    bend.flatMap(([x, y]) => [(2 * x + 3 * y) / 7, (3 * x - 6 * y) / 7, (6 * x + 2 * y) / 7]),
  );
  const slow = { ...dynamics, cornerToleranceMm: 0.05 };
  expect(polylineSeconds(turned, 4000, slow)).toBeCloseTo(polylineSeconds(flat, 4000, slow), 9);
});

test('never below length over feed, nor faster for sharper corners', () => {
  let before = 0;
  for (const degrees of [0, 5, 30, 90, 150, 180]) {
    const t = (degrees * Math.PI) / 180;
    const bent = Float64Array.of(0, 0, 0, 15, 0, 0, 15 + 12 * Math.cos(t), 12 * Math.sin(t), 0);
    const at = polylineSeconds(bent, 4000, dynamics);
    expect(at).toBeGreaterThan(naiveSeconds(27, 4000));
    expect(at).toBeGreaterThanOrEqual(before);
    before = at;
  }
  const stops = restToRestSeconds(15, 4000, dynamics) + restToRestSeconds(12, 4000, dynamics);
  expect(before).toBeCloseTo(stops, 9);
});

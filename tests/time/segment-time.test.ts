import { describe, expect, test } from 'vitest';
import {
  blockTimeCap,
  centripetalCap,
  cornerCap,
  cornerRadius,
  naiveSeconds,
  peakSpeed,
  rampSeconds,
  restToRestSeconds,
} from '../../src/time/segment-time.js';
import { zigZagSeconds } from '../support/zig-zag.js';

const rad = (degrees: number) => (degrees * Math.PI) / 180;
const dynamics = (a: number, j: number | null) => ({ accelerationMmPerS2: a, jerkMmPerS3: j });

// Textbook kinematics: t = L/v + v/a or 2 √(L/a); with a jerk limit t = L/v + v/a + a/j.
describe('rest to rest', () => {
  test.each([
    [5000, 2000, null, 1, 0.0447214],
    [5000, 2000, null, 20, 0.281667],
    [5000, 2000, null, 100, 1.241667],
    [10000, 5000, null, 20, 0.153333],
    [5000, 2000, 50_000, 20, 0.321667],
    [5000, 2000, 50_000, 1, 0.0861774],
    [10000, 5000, 100_000, 5, 0.116961],
  ])('F%d a%d j%s L%d: %d s', (feed, a, j, length, seconds) => {
    expect(Math.abs(restToRestSeconds(length, feed, dynamics(a, j)) - seconds)).toBeLessThan(1e-6);
  });

  // Independent of the closed forms: the jerk profile +j 0 -j, 0, -j 0 +j integrated in small steps.
  test.each([[0.05], [1], [3], [6], [20], [200]])('S-curve of %d mm: its jerk, integrated', (length) => {
    const [feed, a, j] = [6000, 2000, 40_000];
    const peak = peakSpeed(length, feed, dynamics(a, j));
    const ramp = rampSeconds(peak, dynamics(a, j));
    const jerkTime = Math.min(a / j, ramp / 2);
    const total = restToRestSeconds(length, feed, dynamics(a, j));
    const jerkAt = (t: number) => (t < jerkTime ? j : t < ramp - jerkTime ? 0 : t < ramp ? -j : 0);
    let x = 0,
      v = 0,
      acc = 0;
    // Half the way up to half the time: the second half mirrors the first.
    const steps = 40_000,
      dt = total / 2 / steps;
    for (let i = 0; i < steps; i++) {
      const t = (i + 0.5) * dt;
      acc += jerkAt(t) * dt;
      v += acc * dt;
      x += v * dt;
    }
    expect((2 * x) / length).toBeCloseTo(1, 2);
    expect(peak).toBeLessThanOrEqual(100);
  });

  test('never faster than length over feed, and continuous where the kind of profile changes', () => {
    for (const j of [null, 5000, 200_000]) {
      let before = 0;
      for (let length = 0.01; length < 300; length *= 1.07) {
        const at = restToRestSeconds(length, 5000, dynamics(2000, j));
        expect(at).toBeGreaterThan(naiveSeconds(length, 5000));
        expect(at).toBeGreaterThan(before);
        expect(restToRestSeconds(length * (1 + 1e-9), 5000, dynamics(2000, j)) - at).toBeLessThan(1e-7);
        before = at;
      }
    }
    expect(restToRestSeconds(0, 5000, dynamics(2000, null))).toBe(0);
    expect(() => restToRestSeconds(-1, 5000, dynamics(2000, null))).toThrow(RangeError);
  });
});

// 100 x 50 zig-zag, stepover 0.3, F5000, a2000: 3.333 min by length, 3.517 with a stop at each end and 0.3
// links.
test('zig-zag with stops', () => {
  const passes = 50 / 0.3;
  expect(naiveSeconds(100 * passes, 5000) / 60).toBeCloseTo(3.333, 3);
  const straight = dynamics(2000, null);
  const exact = passes * (1.2 + 250 / 6000) + (passes - 1) * 2 * Math.sqrt(0.3 / 2000);
  expect(Math.abs(exact / 60 - 3.517)).toBeLessThan(5e-4);
  expect(Math.abs(zigZagSeconds(100, passes, 0.3, 5000, straight) - exact)).toBeLessThan(1e-9);
});

// v = seg/t_block; v = √(a rho); arc in a corner e/(1/cos(φ/2) - 1).
describe('caps', () => {
  test.each([
    [0.1, 1, 6000],
    [0.1, 10, 600],
  ])('block of %d mm in %d ms: %d mm/min', (block, ms, feed) => {
    expect(blockTimeCap(block, ms)).toBeCloseTo(feed, 9);
    expect(blockTimeCap(block, 0)).toBe(Infinity);
  });
  test('circle of 1 mm at 2000 mm/s²: 2683 mm/min', () => {
    expect(Math.abs(centripetalCap(1, 2000) - 2683)).toBeLessThan(0.5);
  });
  test.each([
    [90, 0.0241421, 417],
    [30, 0.283477, 1429],
  ])('corner of %d deg within 0.01', (deg, r, feed) => {
    expect(Math.abs(cornerRadius(rad(deg), 0.01) - r)).toBeLessThan(6e-7);
    expect(Math.abs(cornerCap(rad(deg), 0.01, 2000) - feed)).toBeLessThan(0.5);
  });
  test('straight on: no limit; straight back: stop', () => {
    expect(cornerCap(0, 0.01, 2000)).toBe(Infinity);
    expect(cornerCap(Math.PI, 0.01, 2000)).toBe(0);
    expect(cornerRadius(1e-6, 0.01) * 1e-12).toBeCloseTo(0.08, 6);
  });
});

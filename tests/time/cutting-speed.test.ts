import { describe, expect, test } from 'vitest';
import { chipThinning, engagedDiameter, spindleAndFeed, spindleSpeed } from '../../src/time/cutting-speed.js';

const rad = (degrees: number) => (degrees * Math.PI) / 180;
const ball = (DC: number) => ({ DC, RE: DC / 2 });

describe('engaged diameter', () => {
  // Printed table of a cutting-tool maker's general catalogue 2021, page 331, three decimals.
  test.each([
    [10, 0.01, 0.632],
    [10, 0.05, 1.411],
    [10, 0.1, 1.99],
    [10, 0.3, 3.412],
    [10, 1, 6],
    [10, 2, 8],
    [6, 0.15, 1.873],
    [6, 0.5, 3.317],
    [2, 0.02, 0.398],
    [2, 0.1, 0.872],
    [20, 1, 8.718],
  ])('printed table: D%d ap %d: %d', (DC, ap, printed) => {
    expect(Math.abs(engagedDiameter(ball(DC), ap) - printed)).toBeLessThan(0.0006);
    expect(engagedDiameter(ball(DC), ap)).toBeCloseTo(2 * Math.sqrt(ap * (DC - ap)), 12);
  });
  // D sin(min(90°, θ + arccos(1 - 2 ap/D))): derived; a handbook form (from memory).
  test.each([
    [10, 0.1, 15, 4.45859],
    [10, 0.1, 45, 8.33677],
    [6, 0.1, 30, 4.23041],
    [4, 0.05, 15, 1.86793],
  ])('slope: D%d ap %d at %d deg: %d', (DC, ap, degrees, diameter) => {
    expect(Math.abs(engagedDiameter(ball(DC), ap, rad(degrees)) - diameter)).toBeLessThan(6e-6);
  });
  test('never above DC; a flat end is all engaged; a bull-nose keeps its flat', () => {
    expect(engagedDiameter(ball(10), 0.1, rad(89))).toBe(10);
    expect(engagedDiameter(ball(10), 7)).toBe(10);
    expect(engagedDiameter({ DC: 10, RE: 0 }, 0.1)).toBe(10);
    // Corner circle of a D10 r1: flat of 8 plus a ball of 2.
    expect(engagedDiameter({ DC: 10, RE: 1 }, 0.1)).toBeCloseTo(8 + engagedDiameter(ball(2), 0.1), 12);
  });
  test.each([
    [1, 0.0174524],
    [5, 0.0871557],
    [15, 0.258819],
  ])('nothing taken off at %d deg: the circle of contact, D sin θ', (deg, sine) => {
    expect(engagedDiameter(ball(10), 0, rad(deg))).toBeCloseTo(10 * sine, 5);
  });
});

// n = 1000 vc / (π D), vf = n z fz: several makers; quantities of ISO 3002-3 (from memory).
describe('spindle speed and feed', () => {
  const wall = { apMm: 0.1, aeMm: 0.3, wallAngleRad: rad(90) };
  const free = { maxRpm: 1e6, maxFeedMmPerMin: 1e6 };
  test.each([
    [6, 150, 0.05, 7957.75, 795.775],
    [10, 200, 0.08, 6366.2, 1018.59],
    [2, 120, 0.02, 19098.6, 763.944],
  ])('D%d vc %d, two flutes, fz %d', (DC, vcMPerMin, fzMm, n, vf) => {
    const speed = { vcMPerMin, fzMm, fzMeans: 'programmed' } as const;
    const at = spindleAndFeed({ ...ball(DC), NOF: 2 }, speed, wall, free);
    expect(Math.abs(at.rpm / n - 1)).toBeLessThan(1e-5);
    expect(Math.abs(at.feedMmPerMin / vf - 1)).toBeLessThan(1e-5);
  });
  test('D10 ap 0.1 at 15 deg, vc 200: 14278.5 rev/min', () => {
    expect(Math.abs(spindleSpeed(200, engagedDiameter(ball(10), 0.1, rad(15))) - 14278.5)).toBeLessThan(0.1);
  });
  test('limits: the spindle lowers the feed with it, the feed limit comes last', () => {
    const cutter = { ...ball(2), NOF: 2 };
    const speed = { vcMPerMin: 120, fzMm: 0.02, fzMeans: 'programmed' } as const;
    const slow = spindleAndFeed(cutter, speed, wall, { ...free, maxRpm: 10_000 });
    expect(slow.feedMmPerMin).toBeCloseTo(400, 9);
    expect(slow.rpm).toBe(10_000);
    const both = spindleAndFeed(cutter, speed, wall, { maxRpm: 10_000, maxFeedMmPerMin: 300 });
    expect(both.feedMmPerMin).toBe(300);
    expect(spindleAndFeed(cutter, speed, wall, { ...free, maxFeedMmPerMin: 300 }).feedMmPerMin).toBe(300);
  });
  test('fz as chip thickness raises the feed by the thinning', () => {
    const speed = { vcMPerMin: 100, fzMm: 0.05, fzMeans: 'chip-thickness' } as const;
    const cutter = { ...ball(10), NOF: 2 };
    const at = spindleAndFeed(cutter, speed, { ...wall, aeMm: 1 }, free);
    expect(at.feedMmPerMin / (at.rpm * 2 * 0.05)).toBeCloseTo(1 / 0.6, 12);
  });
});

// hex = 2 fz √((ae/D)(1 - ae/D)); web table: 5 % gives 1/2.29.
test.each([
  [1, 0.6],
  [0.5, 0.43589],
  [5, 1],
  [8, 1],
])('chip thinning, D10 ae %d: %d', (ae, factor) => {
  expect(chipThinning(10, ae)).toBeCloseTo(factor, 6);
});
test('refuses', () => {
  expect(() => engagedDiameter(ball(10), -0.1)).toThrow(RangeError);
  expect(() => engagedDiameter({ DC: 10, RE: 6 }, 0.1)).toThrow(RangeError);
  expect(() => chipThinning(10, 0)).toThrow(RangeError);
});

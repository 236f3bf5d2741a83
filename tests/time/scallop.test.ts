import { describe, expect, test } from 'vitest';
import { scallopHeight, scallopSpacing, stairScallop } from '../../src/time/scallop.js';
import { effectiveRadius } from '../support/effective-radius.js';
import { theoreticalRoughness } from '../../src/time/roughness.js';

const rad = (degrees: number) => (degrees * Math.PI) / 180;

describe('plane', () => {
  // Public stepover calculators agree: 6 mm ball, 0.5 step: 0.0104; height 0.005: 0.346; 10 mm ball, 0.5:
  // 0.0063. Form: Choi & Jerard, Sculptured Surface Machining, Kluwer 1998 (from memory). Digits: h = R -
  // sqrt(R² - s²/4).
  test.each([
    [3, 0.5, 0.0104348],
    [5, 0.5, 0.00625391],
    [2, 0.15, 0.00140674],
    [1, 0.1, 0.00125078],
  ])('ball R%d, spacing %d leaves %d', (r, s, h) => {
    expect(Math.abs(scallopHeight(r, s) / h - 1)).toBeLessThan(5e-6);
  });
  test.each([
    [3, 0.005, 0.346266],
    [1, 0.001, 0.0894204],
    [5, 0.01, 0.632139],
    [4, 0.005, 0.399875],
  ])('ball R%d, height %d asks spacing %d', (r, h, s) => {
    expect(Math.abs(scallopSpacing(r, h) / s - 1)).toBeLessThan(5e-6);
    expect(scallopHeight(r, scallopSpacing(r, h))).toBeCloseTo(h, 13);
  });

  test('limits: full width gives R, wider does not meet', () => {
    expect(scallopHeight(3, 6)).toBe(3);
    expect(scallopHeight(3, 6.0001)).toBe(Infinity);
    expect(scallopHeight(3, 0)).toBe(0);
    expect(scallopSpacing(3, 5)).toBe(6);
  });
});

describe('inclined plane', () => {
  // Closed form: spacing on the surface is sxy / cos θ and dz / sin θ.
  test.each([
    [0, 0.00375235],
    [30, 0.00500417],
    [45, 0.0075094],
    [60, 0.0150377],
    [75, 0.056513],
  ])('R3, sxy 0.3 at %d deg', (degrees, h) => {
    expect(Math.abs(scallopHeight(3, 0.3 / Math.cos(rad(degrees))) - h)).toBeLessThan(1e-7);
  });
  test.each([
    [15, 0.0249844],
    [30, 0.00667409],
    [45, 0.00333519],
    [60, 0.00222305],
    [90, 0.00166713],
  ])('R3, dz 0.2 at %d deg', (degrees, h) => {
    expect(Math.abs(scallopHeight(3, 0.2 / Math.sin(rad(degrees))) - h)).toBeLessThan(1e-7);
  });
  test('a sharp corner leaves stairs of dz cos θ', () => {
    expect(stairScallop(0.2 / Math.sin(rad(30)), rad(30))).toBeCloseTo(0.2 * Math.cos(rad(30)), 14);
  });
});

describe('curved section', () => {
  // Suresh & Yang 1994, Lin & Koren 1996 (chord form, from memory), re-derived as two circles.
  test.each([
    [3, 20, 0.005, 0.322855, 0.375626],
    [5, 50, 0.01, 0.602662, 0.666401],
    [2, 10, 0.002, 0.163243, 0.199971],
  ])('R%d on rho %d: height %d on arcs of %d and %d', (r, rho, h, convexArc, concaveArc) => {
    expect(Math.abs(scallopHeight(r, convexArc, 1 / rho) / h - 1)).toBeLessThan(2e-5);
    expect(Math.abs(scallopHeight(r, concaveArc, -1 / rho) / h - 1)).toBeLessThan(2e-5);
  });

  test('forward, R3 rho20 spacing 0.3', () => {
    expect(Math.abs(scallopHeight(3, 0.3, 1 / 20) - 0.00431652)).toBeLessThan(6e-9);
    expect(Math.abs(scallopHeight(3, 0.3, -1 / 20) - 0.00318867)).toBeLessThan(6e-9);
  });

  // The printed chord form: rho sqrt(4a²b² - (rho² + 2 R rho + b²)²) / (a b), a = rho + R, b = rho + h.
  test('the arc over the chord of the printed form leaves its height, also a large one', () => {
    const [r, rho, h] = [4, 7, 1.3],
      a = rho + r,
      b = rho + h;
    const printed = (rho * Math.sqrt(4 * a * a * b * b - (rho * rho + 2 * r * rho + b * b) ** 2)) / (a * b);
    const arc = 2 * rho * Math.asin(printed / (2 * rho));
    expect(scallopHeight(r, arc, 1 / rho)).toBeCloseTo(h, 12);
  });

  test('goes over into the plane without a jump, and refuses a tighter section', () => {
    expect(scallopHeight(3, 0.5, 1e-12)).toBeCloseTo(scallopHeight(3, 0.5), 12);
    expect(scallopHeight(3, 0.5, -1 / 2)).toBeNaN();
    expect(scallopHeight(3, 0.5, -1 / 3)).toBe(0);
  });
});

describe('bull-nose and flat', () => {
  // Curvature of the silhouette, checked against a numeric support function to 4e-6; the form of Senatore,
  // Segonds & Rubio, CAD 44(12) 2012, and Redonnet et al., doi:10.1177/0954405416640175 (from memory).
  test.each([
    [10, 1, 30, 0, 9.0],
    [10, 1, 30, 90, 1.0],
    [10, 1, 30, 45, 5.571429],
    [8, 1, 15, 0, 12.59111],
    [8, 1, 60, 30, 4.197632],
    [6, 0.5, 45, 0, 4.035534],
  ])('slope: D%d r%d at %d, feed %d from the fall line', (d, r, wall, feed, radius) => {
    expect(Math.abs(effectiveRadius(d, r, rad(wall), rad(feed)) - radius)).toBeLessThan(1e-6);
  });
  test('a ball is a ball at any angle; contouring sees the corner only', () => {
    expect(effectiveRadius(6, 3, rad(37), rad(21))).toBe(3);
    expect(effectiveRadius(10, 1, rad(1e-9), rad(90))).toBe(1);
  });
});

describe('theoretical roughness', () => {
  // Exact circle, integrated: R3 s0.5, R3 s0.3, R1 s1. Limits: parabola, Ra = 4/(9 √3) h (handbook 0.0321
  // f²/r).
  test.each([
    [3, 0.5, 0.00267664],
    [3, 0.3, 0.000962732],
    [1, 1, 0.033861],
  ])('R%d s%d', (r, s, ra) => {
    expect(Math.abs(theoreticalRoughness(r, s).theoreticalRaMm / ra - 1)).toBeLessThan(2e-6);
    expect(theoreticalRoughness(r, s).theoreticalRzMm).toBe(scallopHeight(r, s));
  });
  test('ratio tends to 0.2566 of the height, 0.032075 s²/R', () => {
    const at = theoreticalRoughness(3, 0.0031);
    expect(at.theoreticalRaMm / at.theoreticalRzMm).toBeCloseTo(0.2566, 5);
    const small = theoreticalRoughness(3, 0.001);
    expect(small.theoreticalRaMm / (0.001 ** 2 / 3)).toBeCloseTo(0.032075, 6);
    // Scaling the cutter and the spacing alike scales the roughness: a small cutter is no special case.
    const [large, tiny] = [theoreticalRoughness(1, 1), theoreticalRoughness(0.01, 0.01)];
    expect(tiny.theoreticalRaMm / large.theoreticalRaMm).toBeCloseTo(0.01, 9);
  });
});

test('refuses impossible input', () => {
  expect(() => scallopHeight(0, 0.1)).toThrow(RangeError);
  expect(() => scallopHeight(3, -0.1)).toThrow(RangeError);
  expect(() => scallopSpacing(3, -0.1)).toThrow(RangeError);
  expect(() => effectiveRadius(6, -1, 1, 0)).toThrow(RangeError);
  expect(() => theoreticalRoughness(3, 7)).toThrow(RangeError);
});

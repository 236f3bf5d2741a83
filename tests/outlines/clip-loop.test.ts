import { describe, expect, test } from 'vitest';
import { clippedLoop } from '../../src/outlines/clip-loop.js';

/** Shoelace formula. */
const areaOf = (loop: readonly number[]): number => {
  let sum = 0;
  for (let i = 0; i < loop.length; i += 2) {
    const j = (i + 2) % loop.length;
    sum += loop[i] * loop[j + 1] - loop[j] * loop[i + 1];
  }
  return sum / 2;
};
const window = { min: [-1, -2] as const, max: [3, 2] as const };

describe('what of a loop lies in a window', () => {
  test('a disc across a corner: a quarter of it; in the middle: all; beside: nothing', () => {
    const disc = (x: number, y: number, r: number): number[] =>
      Array.from({ length: 4000 }, (_, i) => (2 * Math.PI * i) / 4000).flatMap((a) => [
        x + r * Math.cos(a),
        y + r * Math.sin(a),
      ]);
    expect(areaOf(clippedLoop(disc(3, 2, 1), window))).toBeCloseTo(Math.PI / 4, 4);
    expect(areaOf(clippedLoop(disc(1, 0, 1.5), window))).toBeCloseTo(Math.PI * 2.25, 4);
    expect(clippedLoop(disc(9, 0, 1), window)).toEqual([]);
    // All round: the window itself.
    expect(areaOf(clippedLoop(disc(1, 0, 50), window))).toBeCloseTo(16, 9);
  });

  test('a notch that leads in and out again: its two arms', () => {
    const comb = [-5, -1, 5, -1, 5, 1, -5, 1, -5, 0.5, 4, 0.5, 4, -0.5, -5, -0.5];
    expect(areaOf(clippedLoop(comb, window))).toBeCloseTo(4, 9);
  });

  test('every point lies in it', () => {
    const star = Array.from(
      { length: 40 },
      (_, i) => (i % 2 ? 6 : 1) * (i % 4 < 2 ? Math.cos(i) : Math.sin(i * i)),
    );
    const found = clippedLoop(star, window);
    expect(found.length).toBeGreaterThan(8);
    for (let i = 0; i < found.length; i += 2) {
      expect(found[i]).toBeGreaterThanOrEqual(-1 - 1e-9);
      expect(found[i]).toBeLessThanOrEqual(3 + 1e-9);
      expect(Math.abs(found[i + 1])).toBeLessThanOrEqual(2 + 1e-9);
    }
  });
});

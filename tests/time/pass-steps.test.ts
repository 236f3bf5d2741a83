import { expect, test } from 'vitest';
import { stepdownAt, stepoverAt } from '../../src/time/pass-steps.js';
import { stairScallop } from '../../src/time/scallop.js';

const FLAT = { DC: 10, RE: 0 },
  STEPS = { kind: 'scallop', heightMm: 0.02 } as const;

// Stairs of a sharp corner: their height along the normal is stepdown · cos θ, by the right triangle of step
// and slope.
test.each([20, 45, 60, 89])(
  'a flat end on a slope of %d degrees: stairs as high as the scallop asked for',
  (degrees) => {
    const wall = (degrees * Math.PI) / 180;
    const stepdown = stepdownAt(STEPS, FLAT, Math.sin(wall));
    expect(stepdown * Math.cos(wall)).toBeCloseTo(0.02, 9);
    expect(stairScallop(stepdown / Math.sin(wall), wall)).toBeCloseTo(0.02, 9);
  },
);

test('upright walls and level ground take the whole cutter; steps that are given hold', () => {
  expect(stepdownAt(STEPS, FLAT, 1)).toBe(10);
  expect(stepoverAt(STEPS, FLAT, 0.7)).toBe(10);
  expect(stepdownAt({ ...STEPS, stepdownMm: 0.3 }, FLAT, 0.8)).toBe(0.3);
  expect(stepoverAt({ ...STEPS, stepoverMm: 0.4 }, FLAT, 0.8)).toBe(0.4);
});

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { stepSetter, type StepGround } from '../../src/time/step-setters.js';

test('one flat piece keeps a large wall at a small step: cut apart, the wall takes its own', () => {
  const grounds = [
    { minutes: 2, ownStepMm: 0.2 },
    { minutes: 50, ownStepMm: 0.4 },
    { minutes: 10, ownStepMm: 0.5 },
  ];
  // 60 min of lines twice as far apart; apart with it the middle one would leave only 10 min to save on.
  expect(stepSetter(grounds, 0.2)).toEqual({ apart: [0], restStepMm: 0.4, savesMinutes: 30 });
});

test.each([[[]], [[{ minutes: 5, ownStepMm: 0.3 }]], [[{ minutes: 5, ownStepMm: 0.4 }]]] as StepGround[][][])(
  'nothing to save: %j',
  (grounds) => {
    expect(stepSetter(grounds, 0.3)).toBeNull();
  },
);

// Brute force: every way to cut some pieces apart, the rest at the least of its own steps.
test('no other choice of pieces saves more', () => {
  const ground = fc.record({
    minutes: fc.double({ min: 0.1, max: 90, noNaN: true }),
    ownStepMm: fc.constantFrom(0.2, 0.21, 0.25, 0.3, 0.4, 0.6),
  });
  fc.assert(
    fc.property(fc.array(ground, { minLength: 1, maxLength: 7 }), (grounds) => {
      const step = Math.min(...grounds.map(({ ownStepMm }) => ownStepMm));
      let most = 0;
      for (let chosen = 0; chosen < 2 ** grounds.length - 1; chosen++) {
        const rest = grounds.filter((_, i) => ((chosen >> i) & 1) === 0);
        const least = Math.min(...rest.map(({ ownStepMm }) => ownStepMm));
        most = Math.max(most, rest.reduce((sum, { minutes }) => sum + minutes, 0) * (1 - step / least));
      }
      expect(stepSetter(grounds, step)?.savesMinutes ?? 0).toBeCloseTo(most, 9);
    }),
  );
});

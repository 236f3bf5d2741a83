import fc from 'fast-check';
import { expect, test } from 'vitest';
import { modelBytes, MODELS } from '../../models/catalogue.js';
import { wholeProgress } from '../../src/page/app/whole-progress.js';
import { resolveSetup } from '../../src/resolve-setup.js';
import { checkPart } from '../../src/survey/check-part.js';

test('whatever the stages tell, the whole never falls back and stays from 0 to 1', () => {
  const stage = fc.constantFrom('read', 'classes', 'reach', 'rest material', 'files', 'none of them');
  fc.assert(
    fc.property(fc.array(fc.tuple(stage, fc.double({ min: -1, max: 2, noNaN: true }))), (told) => {
      const whole = wholeProgress();
      const shares = told.map(([name, fraction]) => whole(name, fraction));
      expect(shares.every((share, i) => share >= (shares[i - 1] ?? 0) && share <= 1)).toBe(true);
    }),
  );
});

test('the stages by their names move it on, the last to 1', async () => {
  const whole = wholeProgress();
  const shares: number[] = [];
  await checkPart(modelBytes(MODELS[0]), 'model.stl', resolveSetup(undefined, {}), {
    progress: (stage, fraction) => shares.push(whole(stage, fraction)),
  });
  expect(new Set(shares).size).toBeGreaterThan(2);
  expect(whole('files', 1)).toBe(1);
});

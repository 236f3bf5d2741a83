import { expect, test } from 'vitest';
import { lastAnswers } from '../../src/core/last-answers.js';
import { inlineEngine, type EngineMaker } from '../../src/reach/reach-engine.js';
import { resolveSetup } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { TWO_CUTTERS } from '../page/browser.js';
import { boxPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

// A part is surveyed again with one wish changed; the other survey knows nothing of the first.

const BASE = { ...JSON.parse(TWO_CUTTERS), radiiMm: [1, 3], toleranceMm: 0.05, drilledUpToMm: 0 };
const [small, large] = BASE.cutters.cutters;
const catalogue = (...cutters: object[]) => ({ cutters: { version: 1, cutters } });
const part = boxPocket({ width: 12, length: 10, depth: 4, land: 3 });

/** Wishes, and whether the engine has anything new to answer for them. */
const CHANGES: readonly (readonly [object, isAsked: boolean])[] = [
  [{}, false],
  [
    { scallopMm: 0.01, mostLengthToDiameter: 4, holderClearanceMm: 3, block: 'cylinder', blendShare: 0.1 },
    false,
  ],
  [catalogue({ ...small, LU: 12, wearCostPerMinute: 2 }, large), false],
  [catalogue(small, large, { ...small, id: 'B5', DC: 5, RE: 2.5, DN: 4.8 }), true],
  [{ radiiMm: [1, 2] }, true],
  [{ stockMm: 0.1 }, true],
  [{ splitDeg: 30, overlapMm: 1, minDraftDeg: 2, minRegionMm2: 1 }, true],
  [{ splitDeg: 'auto', includeOutside: true, creaseDeg: 20 }, true],
  [{ axis: [1, 0, 0], toleranceMm: 0.03 }, true],
  [{ axis: 'auto', drilledUpToMm: 3 }, true],
];

test('surveyed again, a part gives what it gives when surveyed the first time, and asks only what is new', async () => {
  const last = lastAnswers();
  let asked = 0;
  const counting: EngineMaker = (data) => {
    const engine = inlineEngine(data);
    return {
      ...engine,
      run: (...task) => {
        asked++;
        return engine.run(...task);
      },
    };
  };
  const survey = (change: object, again: boolean) =>
    surveyPart(
      binaryStl(part),
      'part.stl',
      resolveSetup(undefined, { ...BASE, ...change }),
      again ? { last } : {},
      counting,
    );
  await survey({}, true);
  for (const [change, isAsked] of CHANGES) {
    const name = JSON.stringify(change);
    asked = 0;
    const again = await survey(change, true);
    expect(asked > 0, name).toBe(isAsked);
    const anew = await survey(change, false);
    for (const [file, content] of anew.files)
      expect(again.files.get(file), `${name}, ${file}`).toEqual(content);
    expect(again.plan, name).toEqual(anew.plan);
  }
});

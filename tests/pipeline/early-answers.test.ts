import { expect, test } from 'vitest';
import { resolveSetup } from '../../src/resolve-setup.js';
import { surveyPart, type EarlyAnswers } from '../../src/survey/survey.js';
import { TWO_CUTTERS } from '../page/browser.js';
import { boxPocket, roundPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

const SETUP = { ...JSON.parse(TWO_CUTTERS), radiiMm: [1, 3], toleranceMm: 0.05 };

test.each([
  ['a box with a pocket', boxPocket({ width: 12, length: 10, depth: 4, land: 3 }), {}],
  [
    'the same by the fastest split',
    boxPocket({ width: 14, length: 9, depth: 3, land: 4 }),
    { splitDeg: 'auto' },
  ],
  ['a round pocket with a fillet', roundPocket({ segments: 32, filletFacets: 5 }), { minDraftDeg: 1 }],
] as const)('%s: what is told early is what the plan says in the end', async (_, corners, more) => {
  const told: EarlyAnswers[] = [];
  let atFirst = -1,
    questions = 0;
  const { plan } = await surveyPart(
    binaryStl(corners),
    'part.stl',
    resolveSetup(undefined, { ...SETUP, ...more }),
    {
      progress: (stage) => {
        if (stage === 'reach') questions++;
      },
      onAnswers: (answers) => {
        if (told.length === 0) atFirst = questions;
        told.push(structuredClone(answers));
      },
    },
  );
  const [{ kind: first, findings, split, ...surface }, { kind: second, reach, ...work }] = told as [
    Extract<EarlyAnswers, { kind: 'surface' }>,
    Extract<EarlyAnswers, { kind: 'work' }>,
  ];
  expect([told.length, first, second, atFirst]).toEqual([2, 'surface', 'work', 0]);
  expect(questions).toBeGreaterThan(0);
  expect(plan).toMatchObject({ ...surface, split });
  expect(plan.findings.slice(0, findings.length)).toEqual(findings);
  // Of the work all but findings of the end, and what balls leave.
  expect({ ...work, findings: plan.findings, reach: { ...reach, byRadius: plan.reach.byRadius } }).toEqual(
    plan,
  );
  expect(plan.reach.byRadius).toMatchObject(reach.byRadius);
});

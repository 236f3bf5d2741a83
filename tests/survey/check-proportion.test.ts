import { expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { foretoldFacets } from '../../src/part/foretold-facets.js';
import { trueFacets } from '../../src/part/true-facets.js';
import { resolveSetup, type SetupFile } from '../../src/resolve-setup.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { selfCrossings } from '../../src/part/self-crossings.js';
import { checkPart } from '../../src/survey/check-part.js';
import { checkSurface } from '../../src/survey/check-proportion.js';
import { surveyPart } from '../../src/survey/survey.js';
import { seededRandom } from '../reach/random.js';
import { readyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { soupOf } from '../support/soup-of.js';
import { binaryStl } from '../support/stl.js';

const pocket = shapes.boxPocket({ width: 40, length: 30, depth: 10, land: 8 });
const wall = Float64Array.of(0, 0, 0, 0, 30, 10, 0, 30, 0, 0, 0, 0, 0, 0, 10, 0, 30, 10);

async function refusal(corners: Float64Array, setup: SetupFile, memoryBytes?: number): Promise<string> {
  const context = memoryBytes === undefined ? {} : { memoryBytes };
  const error = await surveyPart(binaryStl(corners), 'a.stl', resolveSetup(undefined, setup), context).catch(
    (reason: unknown) => reason,
  );
  expect(error).toBeInstanceOf(PartError);
  return (error as PartError).message;
}

test.each<[string, Float64Array, SetupFile, RegExp]>([
  ['millimetres taken for metres', pocket, { unit: 'm' }, /^a\.stl: 56000 mm long, .*--unit/],
  ['a tolerance far below the part', pocket, { toleranceMm: 1e-5 }, /--tolerance/],
  [
    'a part below the tolerance',
    shapes.box(0.01, 0.01, 0.01),
    {},
    /0\.01 mm long, no more than the tolerance/,
  ],
  ['a part on edge', wall, {}, /^a\.stl: 0 by 30 mm in plan/],
  [
    'a coordinate far out',
    Float64Array.from(pocket, (mm, i) => (i === 0 ? 1e35 : mm)),
    {},
    /triangle 1: .*1e\+35/,
  ],
])('%s: one line before any work', async (_, corners, setup, message) => {
  expect(await refusal(corners, setup)).toMatch(message);
});

test('facets that cut through each other and share no edge are refused, those apart are not', async () => {
  const next = seededRandom(20266);
  const random = Float64Array.from({ length: 9 * 300 }, () => 60 * next());
  expect(await refusal(random, {})).toMatch(
    /^a\.stl: no surface: most of its 300 facets share no edge.*check/,
  );
  const torn = shapes.icosphere(20, 2).map((mm) => mm + 0.1 * (next() - 0.5));
  for (const corners of [torn, shapes.scaled(torn, 0.01)]) {
    const prepared = prepareMesh(soupOf(corners), { axis: [0, 0, 1], stand: false, stitchMm: 0 });
    expect(2 * prepared.health.shells).toBeGreaterThan(corners.length / 9);
    expect(selfCrossings(prepared.mesh).pairs.length).toBeGreaterThan(0);
    expect(() => checkSurface(prepared, 'a.stl')).not.toThrow();
  }
});

test('memory is foretold from the triangles, for a survey more than for a check', async () => {
  const triangles = pocket.length / 9;
  expect(await refusal(pocket, {}, 1000 * triangles)).toMatch(
    /its 28 triangles take about .* GB are there; export it coarser/,
  );
  const check = (memoryBytes: number) =>
    checkPart(binaryStl(pocket), 'a.stl', resolveSetup(undefined), { memoryBytes });
  expect((await check(1000 * triangles)).mesh.triangles).toBe(triangles);
  await expect(check(400 * triangles)).rejects.toThrow('take about');
});

test('curved surface that takes too many facets is refused by their count', async () => {
  expect(await refusal(shapes.icosphere(200, 3), { toleranceMm: 0.001 })).toMatch(
    /million facets, at most 4 million/,
  );
});

test.each([0.1, 0.01, 0.001])(
  'facets foretold at %d mm are within twice those made, either way',
  (accuracyMm) => {
    const { smooth, mesh } = readyPart(shapes.icosphere(20, 3));
    const made = trueFacets(smooth, accuracyMm).facetOf.length;
    const ratio = foretoldFacets(smooth, accuracyMm) / made;
    expect(made).toBeGreaterThanOrEqual(mesh.triangles.length / 3);
    expect(ratio).toBeGreaterThan(0.5);
    expect(ratio).toBeLessThan(2);
  },
);

import { expect, test } from 'vitest';
import { CLASSES } from '../../src/core/classes.js';
import { compensatedSum } from '../../src/core/sum.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { numberRegions, type NumberedRegions } from '../../src/zones/number-regions.js';
import { readyPart, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

function regionsOf(corners: Float64Array): NumberedRegions & { readonly facets: Float64Array } {
  const zoned = zonesOf(readyPart(corners));
  const { areas } = facetNormals(zoned.surface.mesh);
  return { ...numberRegions(zoned.surface, zoned.labels, areas), facets: areas };
}

const RAMPS = shapes.multiRamp([10, 20, 30, 52]);

test('every facet once; areas are the sums; by class, the largest first', () => {
  const { regionOfFace, areas, classOf, facets, bounds } = regionsOf(RAMPS);
  expect(regionOfFace.every((r) => r >= 0 && r < areas.length)).toBe(true);
  areas.forEach((area, r) =>
    expect(area).toBeCloseTo(compensatedSum(facets.filter((_, f) => regionOfFace[f] === r)), 9),
  );
  expect([...classOf]).toEqual([...classOf].sort((a, b) => a - b));
  const alike = [...areas.keys()].filter((r) => r > 0 && classOf[r] === classOf[r - 1]);
  expect(alike.length).toBeGreaterThanOrEqual(2);
  for (const r of alike) expect(areas[r]).toBeLessThanOrEqual(areas[r - 1] * (1 + 1e-6));
  expect(classOf.filter((cls) => CLASSES[cls] === 'shallow').length).toBe(3);
  expect([...bounds].every(Number.isFinite)).toBe(true);
});

test.each([1, 2, 3])('facets permuted, seed %d: the same regions under the same numbers', (seed) => {
  const plain = regionsOf(RAMPS),
    other = regionsOf(shapes.permuted(RAMPS, seed));
  expect([...other.classOf]).toEqual([...plain.classOf]);
  other.areas.forEach((area, r) => expect(area).toBeCloseTo(plain.areas[r], 8));
  other.bounds.forEach((bound, i) => expect(bound).toBeCloseTo(plain.bounds[i], 8));
});

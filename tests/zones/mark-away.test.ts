import { expect, test } from 'vitest';
import { compensatedSum } from '../../src/core/sum.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { AWAY, classOfLabel } from '../../src/zones/mark-away.js';
import { numberRegions } from '../../src/zones/number-regions.js';
import { classAreas, readyPart, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const part = readyPart(shapes.box(60, 40, 10));
const CIRCLE = (x: number, y: number): boolean => (x - 22.3) ** 2 + (y - 17.1) ** 2 < 81;

test('a disc inside one big face: its area is kept, the rest is away, classes still add up', () => {
  const zoned = zonesOf(part, { inside: CIRCLE });
  const { areas } = facetNormals(zoned.surface.mesh);
  const kept = compensatedSum(areas.filter((_, f) => zoned.labels[f] === 0));
  expect(Math.abs(kept / (Math.PI * 81) - 1)).toBeLessThan(0.01);
  expect(classAreas(zoned).level).toBeCloseTo(2400, 8);
  zoned.labels.forEach((label) => expect(classOfLabel(label)).toBeLessThan(8));
});

test('a half plane across facets: exact', () => {
  const zoned = zonesOf(part, { inside: (x, y) => x + 0.3 * y < 35 });
  const { areas } = facetNormals(zoned.surface.mesh);
  // Trapezium between the lines y = 0 and y = 40, of lengths 35 and 23.
  expect(compensatedSum(areas.filter((_, f) => zoned.labels[f] === 0))).toBeCloseTo(((35 + 23) / 2) * 40, 1);
});

test('nothing inside: everything away, no region left', () => {
  const zoned = zonesOf(part, { inside: () => false });
  expect(zoned.labels.every((label) => label >= AWAY)).toBe(true);
  const regions = numberRegions(zoned.surface, zoned.labels, facetNormals(zoned.surface.mesh).areas);
  expect(regions.classOf.length).toBe(0);
  expect(regions.regionOfFace.every((r) => r === -1)).toBe(true);
});

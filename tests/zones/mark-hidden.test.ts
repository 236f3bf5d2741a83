import { expect, test } from 'vitest';
import { facetNormals } from '../../src/part/facet-normals.js';
import { classAreas, readyPart, surfaceAreaWhere, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';

const SLOT = { neck: 6, lip: 5, width: 20, depth: 12, length: 40 };

// A T-slot's floor is hidden under the lips, and so are its inner walls: plane geometry. Neck walls are in
// the open.
test.each([0, 37.3])(
  'T-slot turned by %d degrees: floor under the lips and walls below them, nothing else',
  (angle) => {
    const zoned = zonesOf(readyPart(shapes.turned(shapes.tSlot(SLOT), angle)));
    const areas = classAreas(zoned);
    const floor = (SLOT.width - SLOT.neck) * SLOT.length,
      walls = 2 * (SLOT.depth - SLOT.lip) * SLOT.length;
    expect(Math.abs(areas.hidden / (floor + walls) - 1)).toBeLessThan(1e-3);
    expect(areas.level).toBeGreaterThan(0);
    expect(Math.abs(areas.level - (6 * 40 + 2 * 17 * 40))).toBeLessThan(0.5);
  },
);

/**
 * Block with a flat latch that reaches out over its floor: `reach` beyond the wall at x = 0, from z 4 to 6.
 */
const latch = (reach: number): Float64Array =>
  extrude(
    [
      [-10, -5],
      [20, -5],
      [20, 0],
      [0, 0],
      [0, 4],
      [reach, 4],
      [reach, 6],
      [-10, 6],
    ],
    0,
    15,
  );

test.each([1, 2.5, 7])(
  'latch that reaches %d mm over a floor: the strip below it and the wall below it',
  (reach) => {
    const zoned = zonesOf(readyPart(shapes.turned(latch(reach), 12.3)));
    const { hidden, undercut } = classAreas(zoned);
    expect(Math.abs(undercut - reach * 15)).toBeLessThan(1e-9);
    expect(Math.abs(hidden / (reach * 15 + 4 * 15) - 1)).toBeLessThan(2e-3);
  },
);

test('a latch over the middle of one big facet: the shadow is found inside it', () => {
  const floor = shapes.box(60, 60, 2);
  const roof = shapes.moved(shapes.box(8, 6, 3), [25, 31, 10]);
  const zoned = zonesOf(readyPart(shapes.turned(shapes.joined(floor, roof), 20)));
  expect(Math.abs(classAreas(zoned).hidden / 48 - 1)).toBeLessThan(5e-3);
  expect(surfaceAreaWhere(zoned, (_x, _y, z) => Math.abs(z - 2) < 1e-9)).toBeCloseTo(3600, 8);
});

// Plane geometry: three roofs over one big facet, in each other's plan; 12 facets each with the floor's.
test('a facet is cut where a shadow ends on it, and nowhere else', () => {
  const floor = shapes.box(60, 60, 2);
  const roofs = [4, 8, 12].map((z) => shapes.moved(shapes.box(8, 6, 3), [25, 31, z]));
  const zoned = zonesOf(readyPart(shapes.turned(shapes.joined(floor, ...roofs), 20)));
  // The floor, and the tops of the two lower roofs.
  expect(Math.abs(classAreas(zoned).hidden / (3 * 48) - 1)).toBeLessThan(5e-3);
  expect(zoned.labels.length).toBeLessThan(600);
});

// 80 facets through each other: pieces along a border that crosses another were halved down to no width at all.
test('shadows across each other do not feed on slivers', () => {
  const random = shapes.randomNumbers(1);
  const soup = Float64Array.from({ length: 80 * 9 }, () => 40 * random());
  const { surface, labels } = zonesOf(readyPart(soup));
  expect(labels.length).toBeLessThan(80 * 250);
  const { areas } = facetNormals(surface.mesh);
  expect(areas.filter((area) => area < 1e-9).length).toBeLessThan(0.02 * labels.length);
});

// 200 of them took minutes: where each casts a shadow on the next, pieces must not multiply.
test('shells within shells are hardly cut, and keep their area', () => {
  const shells = Array.from({ length: 25 }, (_, i) => shapes.icosphere(4 + 0.5 * i, 2));
  const { surface, labels } = zonesOf(readyPart(shapes.joined(...shells)));
  expect(labels.length).toBeLessThan(3 * 25 * 320);
  const sumOf = (areas: Float64Array): number => areas.reduce((sum, area) => sum + area, 0);
  const alone = shells.map((shell) => sumOf(facetNormals(readyPart(shell).mesh).areas));
  expect(sumOf(facetNormals(surface.mesh).areas) / alone.reduce((a, b) => a + b)).toBeCloseTo(1, 9);
});

test('no overhang, nothing hidden; a wall of draft 0 under its own rim is not', () => {
  for (const corners of [
    shapes.roundPocket({ segments: 32, filletFacets: 4 }),
    shapes.boxPocket({ width: 30, length: 20, depth: 10 }),
    shapes.threePlaneCorner(),
  ]) {
    expect(classAreas(zonesOf(readyPart(shapes.turned(corners, 33)))).hidden).toBe(0);
  }
});

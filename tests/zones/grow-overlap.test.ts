import { expect, test } from 'vitest';
import * as shapes from '../support/shapes.js';
import { classAreas, readyPart, zonesOf } from '../support/pipeline.js';

const { PI, abs, cos, sin } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;

// The overlap as a distance: a band of that width on the steep side of the split. Closed forms by the arc
// length: on a cylinder the band is a rectangle, on a sphere a zone between theta and theta + width / R
// (Archimedes).

test.each([
  [45, 2],
  [30, 1],
  [60, 3.5],
])('cylinder R10 lying on a plate, split %d: two strips %d wide', (splitDeg, overlapMm) => {
  const facets = 90,
    length = 12;
  const part = readyPart(shapes.turned(shapes.halfCylinderOnPlate(10, length, facets), 21.7));
  const { overlap } = classAreas(zonesOf(part, { splitDeg, overlapDeg: 0, overlapMm }));
  expect(abs(overlap / (2 * length * overlapMm) - 1)).toBeLessThan(0.01);
});

test.each([
  [45, 2],
  [30, 4],
])('half ball R12, split %d, %d wide: the zone of a sphere', (splitDeg, overlapMm) => {
  const part = readyPart(shapes.hemisphere(12, 96));
  const { overlap, shallow, steep } = classAreas(zonesOf(part, { splitDeg, overlapDeg: 0, overlapMm }));
  const zone = 2 * PI * 144 * (cos(rad(splitDeg)) - cos(rad(splitDeg) + overlapMm / 12));
  expect(abs(overlap / zone - 1)).toBeLessThan(0.02);
  const plain = classAreas(zonesOf(part, { splitDeg, overlapDeg: 0 }));
  expect(shallow).toBeCloseTo(plain.shallow, 8);
  expect(overlap + steep).toBeCloseTo(plain.overlap + plain.steep, 8);
});

test('a coarse mesh gives the same band: 15-degree facets, within what its chords lose', () => {
  const part = readyPart(shapes.halfCylinderOnPlate(10, 30, 12));
  const { overlap } = classAreas(zonesOf(part, { splitDeg: 45, overlapDeg: 0, overlapMm: 2 }));
  const chords = sin(rad(7.5)) / rad(7.5);
  expect(abs(overlap / (2 * 30 * 2 * chords) - 1)).toBeLessThan(0.04);
});

test('a crease from a floor to a wall is no border to blend, a tangent fillet is; vertical walls stay steep', () => {
  const creased = readyPart(shapes.boxPocket({ width: 30, length: 20, depth: 10, tiltDeg: 0 }));
  expect(classAreas(zonesOf(creased, { overlapDeg: 0, overlapMm: 2 })).overlap).toBe(0);
  // Fillet 3 from the floor to the wall: 45 to 89.5 degrees is 2.33 mm of arc, less than the 4 mm asked.
  const filleted = readyPart(shapes.roundPocket({ segments: 96, filletFacets: 48 }));
  const { overlap } = classAreas(zonesOf(filleted, { overlapDeg: 0, overlapMm: 4 }));
  const from = rad(45),
    to = rad(89.5),
    [floor, fillet] = [17, 3];
  const zone = 2 * PI * fillet * (floor * (to - from) + fillet * (cos(from) - cos(to)));
  expect(abs(overlap / zone - 1)).toBeLessThan(0.02);
});

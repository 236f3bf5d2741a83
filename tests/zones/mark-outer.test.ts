import { expect, test } from 'vitest';
import { classAreas, readyPart, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

test('the sides of a block are outside, exactly, in any pose', () => {
  const { outside, steep, underside } = classAreas(
    zonesOf(readyPart(shapes.turned(shapes.boxPocket({ width: 30, length: 20, depth: 10 }), 31.7))),
  );
  expect(outside).toBeCloseTo(2 * (60 + 50) * 20, 7);
  expect(steep).toBeCloseTo(2 * 50 * 10, 7);
  expect(underside).toBeCloseTo(3000, 7);
});

test('the ends of a through slot are outside; its walls are not, though they run to the silhouette', () => {
  const { outside, steep } = classAreas(zonesOf(readyPart(shapes.turned(shapes.throughSlot(4, 6, 50), 8))));
  expect(outside).toBeCloseTo(2 * 50 * 16 + 2 * (24 * 16 - 24), 6);
  expect(steep).toBeCloseTo(2 * 6 * 50, 6);
});

test('the back of a step is not outside: the block stands below it', () => {
  const { outside } = classAreas(zonesOf(readyPart(shapes.multiRamp([20]))));
  const { slope, gap, depth, plate } = shapes.RAMP;
  const rad = (20 * Math.PI) / 180,
    width = 2 * gap + slope * Math.cos(rad);
  const section = width * plate + (slope * slope * Math.cos(rad) * Math.sin(rad)) / 2;
  expect(outside).toBeCloseTo(2 * section + 2 * plate * depth, 8);
});

// An overhanging face that looks straight down but does not lie lowest is undercut, not underside.
test('underside is the lowest level only', () => {
  const table = shapes.joined(shapes.box(40, 40, 5), shapes.moved(shapes.box(10, 10, 4), [50, 0, 8]));
  const areas = classAreas(zonesOf(readyPart(table)));
  expect(areas.underside).toBeCloseTo(1600, 9);
  expect(areas.undercut).toBeCloseTo(100, 9);
});

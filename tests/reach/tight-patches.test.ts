import { expect, test } from 'vitest';
import { reachOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';

/** Block 100 long with two slots across it, 3 and 5 wide, 6 and 4 deep, square bottoms. */
const slots = (): Float64Array =>
  extrude(
    [
      [0, -15],
      [100, -15],
      [100, 0],
      [72.5, 0],
      [72.5, -4],
      [67.5, -4],
      [67.5, 0],
      [31.5, 0],
      [31.5, -6],
      [28.5, -6],
      [28.5, 0],
      [0, 0],
    ],
    0,
    20,
  );

test('two slots: two patches, the larger first, each in its place; areas add up to what is unreached', async () => {
  const { unreachedMm2, tight } = await reachOf(slots(), [4], 0.02);
  const patches = await tight();
  expect(patches.length).toBe(2);
  // Walls and floor of each slot: the ball rests on the slot's edges.
  expect(Math.abs(patches[0].areaMm2 / (20 * (3 + 12)) - 1)).toBeLessThan(0.02);
  expect(Math.abs(patches[1].areaMm2 / (20 * (5 + 8)) - 1)).toBeLessThan(0.02);
  expect(Math.abs((patches[0].areaMm2 + patches[1].areaMm2) / unreachedMm2[0] - 1)).toBeLessThan(1e-3);
  expect(patches.map(({ centreMm }) => Math.round(centreMm[0] / 5) * 5)).toEqual([30, 70]);
  for (const [i, depth] of [6, 4].entries()) {
    expect(patches[i].boundsMm.min[2]).toBeCloseTo(-depth, 9);
    expect(patches[i].reachRadiusMm).toBe(0);
  }
});

test('no tight place, no patch', async () => {
  const { tight, unreachedMm2 } = await reachOf(shapes.domeOnPlate(10, 60, 32), [0.5], 0.05);
  const patches = await tight();
  // The foot of the dome is a sharp crease.
  expect(patches.length).toBe(1);
  expect(patches[0].reachRadiusMm).toBe(0);
  expect(unreachedMm2[0]).toBeGreaterThan(0);
  const open = await reachOf(shapes.hemisphere(10, 48), [3, 8], 0.02);
  expect(open.unreachedMm2).toEqual([0, 0]);
  expect(await open.tight()).toEqual([]);
});

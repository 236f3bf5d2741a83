import { meshStep } from 'scarp/node';
import { describe, expect, test } from 'vitest';
import { readPart, type ReadOptions } from '../../src/read/read-part.js';
import * as shapes from '../support/shapes.js';
import { cylinderStep, facettedStep } from '../support/step-files.js';

const read = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) =>
  readPart(bytes, { name: 'part.step', step: { mesh: meshStep, toleranceMm: 0.02 }, ...options });

// ISO 31-1: 1 in = 25.4 mm.
test('a file in inches comes in mm', async () => {
  const { corners, source, findings } = await read(facettedStep(shapes.box(2, 3, 5), 'in'), { unit: 'auto' });
  expect(source).toMatchObject({ format: 'step', unit: 'mm', unitFrom: 'file' });
  expect(shapes.measureSoup(corners).volume / (30 * 25.4 ** 3)).toBeCloseTo(1, 9);
  expect(findings).toMatchObject([{ code: 'read.facets-made', severity: 'info' }]);
});

// Sagitta of a chord over the angle a on the radius r: r (1 - cos(a / 2)).
describe('chords miss a cylinder by no more than half the tolerance', () => {
  test.each([
    [50, 0.02],
    [0.5, 0.2],
  ])('of radius %d mm, tolerance %d mm', async (radius, toleranceMm) => {
    const bytes = cylinderStep(radius, 10);
    const { corners } = await read(bytes, { step: { mesh: meshStep, toleranceMm } });
    let worst = 0,
      longest = 0;
    for (let at = 0; at < corners.length; at += 3) {
      expect(Math.sqrt(corners[at] ** 2 + corners[at + 1] ** 2)).toBeCloseTo(radius, 9);
      const next = at - (at % 9) + ((at + 3) % 9);
      const sides = [corners[at + 2], corners[next + 2]];
      // Chords of the round face: those that climb from one end to the other, and its two rims.
      if (sides[0] === sides[1]) continue;
      const [x, y] = [corners[at] + corners[next], corners[at + 1] + corners[next + 1]];
      worst = Math.max(worst, radius - Math.sqrt(x * x + y * y) / 2);
      longest = Math.max(
        longest,
        Math.sqrt((corners[at] - corners[next]) ** 2 + (corners[at + 1] - corners[next + 1]) ** 2),
      );
    }
    expect(worst).toBeGreaterThan(0);
    expect(worst).toBeLessThanOrEqual(toleranceMm / 2);
    expect((2 * Math.asin(longest / 2 / radius) * 180) / Math.PI).toBeLessThanOrEqual(10.01);
    const { unmatchedEdges, volume } = shapes.measureSoup(corners);
    expect(unmatchedEdges).toBe(0);
    expect(volume / (Math.PI * radius ** 2 * 10)).toBeCloseTo(1, 2);
  });
});

test('cut short it is refused, with the reason that its reader gives', async () => {
  const bytes = facettedStep(shapes.box(2, 3, 5));
  await expect(read(bytes.subarray(0, 900))).rejects.toMatchObject({
    info: { code: 'read.damaged', where: 'part.step', what: expect.stringMatching(/Line \d+/) },
  });
});

test('it is not taken for a unit that it does not state', async () => {
  const bytes = facettedStep(shapes.box(2, 3, 5));
  await expect(read(bytes, { unit: 'in' })).rejects.toMatchObject({ info: { code: 'option.unit' } });
});

import { expect, test } from 'vitest';
import { unpackView } from '../../src/page/viewer/unpack-view.js';
import { packView } from '../../src/write/pack-view.js';
import type { ViewData } from '../../src/write/view-data.js';
import { dome } from '../support/dome.js';

/** Corners of each facet from its lowest on: packing may move them round, not turn them over. */
function facets(triangles: Uint32Array): number[][] {
  return Array.from({ length: triangles.length / 3 }, (_, f) => {
    const corners = [...triangles.subarray(3 * f, 3 * f + 3)];
    const lowest = corners.indexOf(Math.min(...corners));
    return [0, 1, 2].map((k) => corners[(lowest + k) % 3]);
  });
}

test.each([1, 2, 9, 40])('a dome of %d squares comes back as it was packed', async (n) => {
  const view = dome(n), packed = packView(view);
  const back = await unpackView(packed.base64, packed);
  for (const key of ['counts', 'regions', 'creases', 'borders'] as const) {
    expect([...back[key]], key).toEqual([...view[key]]);
  }
  expect(facets(back.triangles)).toEqual(facets(view.triangles));
  view.positions.forEach((x, i) => expect(Math.abs(back.positions[i] - x)).toBeLessThanOrEqual(packed.stepMm / 2 + 1e-9));
  view.normals.forEach((x, i) => expect(back.normals[i]).toBeCloseTo(x, 3));
  view.sagittas.forEach((s, f) => {
    expect(back.sagittas[f]).toBeGreaterThanOrEqual(s - 1e-7);
    expect(back.sagittas[f]).toBeLessThan(s + 1.1e-4);
  });
});

test('a smooth surface packs to fewer than two bytes per facet', () => {
  const view = dome(120);
  const plain: ViewData = {
    ...view, counts: view.counts.fill(12), regions: view.regions.fill(3), sagittas: view.sagittas.fill(0.001),
    normals: view.normals.map((x, i) => (i % 3 === 2 ? Math.abs(x) : x)),
  };
  expect(packView(plain).base64.length).toBeLessThan(2 * (view.triangles.length / 3) * (4 / 3));
});

import { expect, test } from 'vitest';
import { unpackView } from '../../src/page/viewer/unpack-view.js';
import { packView } from '../../src/write/pack-view.js';
import { COUNT_STEP, type ViewData } from '../../src/write/view-data.js';

/** Two facets of the square at (i, j), each from any of its corners on. */
function facetsOfSquare(i: number, j: number): (readonly [number, number])[][] {
  const [a, b, c, d] = [
    [i, j],
    [i + 1, j],
    [i + 1, j + 1],
    [i, j + 1],
  ] as const;
  const turn = i + 2 * j;
  return [
    [a, b, c],
    [a, c, d],
  ].map((facet) => facet.map((_, k) => facet[(k + turn) % 3]));
}

/** A dome of `n` by `n` squares, two facets each, with vertices numbered as the facets first meet them. */
function dome(n: number): ViewData {
  const positions: number[] = [],
    normals: number[] = [],
    triangles: number[] = [];
  const numberOf = new Map<number, number>();
  const vertex = (i: number, j: number): number => {
    const key = i * (n + 1) + j;
    const known = numberOf.get(key);
    if (known !== undefined) return known;
    const x = (2 * i) / n - 1,
      y = (2 * j) / n - 1,
      z = 3 - x * x - y * y;
    const length = Math.sqrt(4 * x * x + 4 * y * y + 1);
    positions.push(123.4 + 40 * x, -77 + 40 * y, 40 * z);
    normals.push((2 * x) / length, (2 * y) / length, (i % 2 === 0 ? 1 : -1) / length);
    numberOf.set(key, numberOf.size);
    return numberOf.size - 1;
  };
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      for (const facet of facetsOfSquare(i, j)) triangles.push(...facet.map(([a, b]) => vertex(a, b)));
    }
  }
  const size = numberOf.size;
  return {
    positions: Float64Array.from(positions),
    normals: Float64Array.from(normals),
    triangles: Uint32Array.from(triangles),
    counts: Float32Array.from({ length: size }, (_, i) =>
      i % 7 === 0 ? 255 : (i % 13) + (i % 5) * COUNT_STEP,
    ),
    regions: Int32Array.from({ length: size }, (_, i) => (i % 11 === 0 ? -1 : (i * 37) % 900)),
    ridges: Uint8Array.from({ length: size }, (_, i) => (i * 5) % 8),
    finishers: Uint8Array.from({ length: size }, (_, i) => (i * 3) % 5),
    gaps: ['B8', 'B4'].map((cutterId, k) => ({
      cutterId,
      bands: Uint8Array.from({ length: size }, (_, i) => (i * (3 + k)) % 17),
    })),
    creases: Uint32Array.of(0, size - 1, 3, 2),
    borders: Uint32Array.of(5, 4),
  };
}

/** Corners of each facet from its lowest on: packing may move them round, not turn them over. */
function facets(triangles: Uint32Array): number[][] {
  return Array.from({ length: triangles.length / 3 }, (_, f) => {
    const corners = [...triangles.subarray(3 * f, 3 * f + 3)];
    const lowest = corners.indexOf(Math.min(...corners));
    return [0, 1, 2].map((k) => corners[(lowest + k) % 3]);
  });
}

test.each([1, 2, 9, 40])('a dome of %d squares comes back as it was packed', async (n) => {
  const view = dome(n),
    packed = packView(view);
  const back = await unpackView(packed.base64, packed);
  expect(back.gaps).toEqual(view.gaps);
  for (const key of ['counts', 'regions', 'ridges', 'finishers', 'creases', 'borders'] as const) {
    expect([...back[key]], key).toEqual([...view[key]]);
  }
  expect(facets(back.triangles)).toEqual(facets(view.triangles));
  view.positions.forEach((x, i) =>
    expect(Math.abs(back.positions[i] - x)).toBeLessThanOrEqual(packed.stepMm / 2 + 1e-9),
  );
  view.normals.forEach((x, i) => expect(back.normals[i]).toBeCloseTo(x, 3));
});

test('a smooth surface packs to fewer than two bytes per facet', () => {
  const view = dome(120);
  const plain: ViewData = {
    ...view,
    counts: view.counts.fill(12),
    regions: view.regions.fill(3),
    ridges: view.ridges.fill(1),
    finishers: view.finishers.fill(2),
    normals: view.normals.map((x, i) => (i % 3 === 2 ? Math.abs(x) : x)),
  };
  expect(packView(plain).base64.length).toBeLessThan(2 * (view.triangles.length / 3) * (4 / 3));
});

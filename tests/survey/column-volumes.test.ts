import { expect, test } from 'vitest';
import { perCorner, perFace } from '../../src/core/array-types.js';
import { columnVolumes, planArea, type ColumnGround } from '../../src/survey/column-volumes.js';
import { readyPart } from '../support/pipeline.js';
import { box } from '../support/shapes.js';

const { PI, abs, hypot, max, min, sqrt } = Math;

/** The level top of a block. @param most the cutter fits from not at all to this, across: columns are asked unevenly */
function groundOf(side: number, depth: number, radiusMm: number, most = 0): ColumnGround {
  const { mesh, topology, normals, smooth } = readyPart(box(side, depth, 10));
  const left = min(...mesh.positions.filter((_, i) => i % 3 === 0));
  const parent = perFace(Int32Array.from({ length: mesh.triangles.length / 3 }, (_, f) => f));
  return {
    surface: { mesh, topology, parent, normals: perCorner(normals) },
    part: smooth,
    faces: parent.filter((f) => planArea(mesh, f) > 0),
    placeOf: () => 0,
    fits: (v) => (most * (mesh.positions[3 * v] - left)) / side,
    radiusMm,
    toleranceMm: 0.02,
  };
}

interface Asked {
  readonly volumesMm3: readonly number[];
  readonly columns: number;
}

async function volumeOver(
  ground: ColumnGround,
  heightAt: (x: number, y: number) => number,
  places = 1,
): Promise<Asked> {
  const { positions } = ground.surface.mesh;
  const [left, front] = [0, 1].map((k) => min(...positions.filter((_, i) => i % 3 === k)));
  let columns = 0;
  const { volumesMm3 } = await columnVolumes(ground, places, async (feet) => {
    columns += feet.length / 6;
    return Float64Array.from({ length: feet.length / 6 }, (_, i) =>
      heightAt(feet[6 * i] - left, feet[6 * i + 1] - front),
    );
  });
  return { volumesMm3, columns };
}

// Four standard errors of half a per cent.
const SHARE = 0.02;

// Integrals of elementary functions over the rectangle W x L: closed forms.
test.each([
  [40, 40, 3],
  [90, 25, 0.5],
  [12, 30, 10],
])('smooth heights over %d x %d, R %d: their integral, from few columns', async (W, L, radius) => {
  const ground = groundOf(W, L, radius);
  const bowl = await volumeOver(ground, (x, y) => (x / W) ** 2 + y / L);
  expect(abs(bowl.volumesMm3[0] / (W * L * (1 / 3 + 1 / 2)) - 1)).toBeLessThan(SHARE / 2);
  expect(bowl.columns).toBeLessThan(600);
  const even = await volumeOver(ground, () => 0.7);
  expect(even.volumesMm3[0] / (0.7 * W * L)).toBeCloseTo(1, 9);
});

test.each([
  [60, 0.4, 5, 0.02],
  [60, 1.5, 3, 0.1],
  [25, 0.3, 8, 0.3],
])('a slot in ground %d wide, %d of it %d high, over what is %d high', async (W, slot, high, low) => {
  const L = 30;
  const ground = groundOf(W, L, 2);
  const { volumesMm3 } = await volumeOver(ground, (x) => (x > W / 3 && x < W / 3 + slot ? high : low));
  const expected = L * (slot * high + (W - slot) * low);
  expect(abs(volumesMm3[0] / expected - 1)).toBeLessThan(SHARE);
});

// Hemisphere 2/3 pi r^3: handbook formula.
test.each([
  [3, 0],
  [5, 0.5],
  [14, 1],
])('a dome of radius %d, nothing beside it, columns asked unevenly (%d)', async (r, most) => {
  const ground = groundOf(40, 40, 4, most);
  const { volumesMm3 } = await volumeOver(ground, (x, y) => sqrt(max(0, r * r - hypot(x - 17, y - 21) ** 2)));
  expect(abs(volumesMm3[0] / ((2 / 3) * PI * r ** 3) - 1)).toBeLessThan(SHARE);
});

test('each place has its own volume, and one without ground has none', async () => {
  const ground = groundOf(30, 20, 2);
  const [first] = ground.faces;
  const own = { ...ground, placeOf: (f: number) => (f === first ? 1 : 2) };
  // The top is two triangles; a plane over a triangle: its area times the height over its centroid.
  const { mesh } = ground.surface;
  const centroidX = (f: number): number =>
    [0, 1, 2].reduce((sum, k) => sum + mesh.positions[3 * mesh.triangles[3 * f + k]] / 3, 0);
  const left = min(...mesh.positions.filter((_, i) => i % 3 === 0));
  const { volumesMm3 } = await volumeOver(own, (x) => 1 + 0.2 * x, 3);
  expect(volumesMm3[0]).toBe(0);
  for (const f of ground.faces)
    expect(volumesMm3[own.placeOf(f)] / (300 * (1 + 0.2 * (centroidX(f) - left)))).toBeCloseTo(1, 2);
});

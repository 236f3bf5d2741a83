import { expect, test } from 'vitest';
import { perCorner, perFace } from '../../src/core/array-types.js';
import type { ColumnGround } from '../../src/survey/column-feet.js';
import { facetsInPlan, planArea } from '../../src/survey/true-ground.js';
import { columnVolumes } from '../../src/survey/column-volumes.js';
import { readyPart } from '../support/pipeline.js';
import { box } from '../support/shapes.js';

const { PI, abs, hypot, max, min, sqrt } = Math;

/** The level top of a block. @param most the cutter fits from not at all to this, across: columns are asked unevenly */
function groundOf(side: number, depth: number, radiusMm: number, most = 0): ColumnGround {
  const { mesh, topology, normals, smooth } = readyPart(box(side, depth, 10));
  const left = min(...mesh.positions.filter((_, i) => i % 3 === 0));
  const parent = perFace(Int32Array.from({ length: mesh.triangles.length / 3 }, (_, f) => f));
  const surface = { mesh, topology, parent, normals: perCorner(normals) };
  return {
    surface,
    part: smooth,
    inPlan: facetsInPlan({ surface, part: smooth }, 0.02),
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

/** Places over which a test is repeated, 0 .. 1: one that passes at one of them says little. */
const SHIFTS = Array.from({ length: 8 }, (_, i) => (i + 0.37) / 8);

/** Level ground with lines across it at some x, and what fits at each. */
function linedGround(
  xs: readonly number[],
  depth: number,
  radiusMm: number,
  fits: (x: number, y: number) => number,
): ColumnGround {
  const ys = xs.length > 20 ? xs.map((x) => (x / xs[xs.length - 1]) * depth) : [0, depth];
  const corners = ys.slice(1).flatMap((y, j) =>
    xs.slice(1).flatMap((x, i) => {
      const [a, b, c, d] = [
        [xs[i], ys[j], 0],
        [x, ys[j], 0],
        [x, y, 0],
        [xs[i], y, 0],
      ];
      return [...a, ...b, ...c, ...a, ...c, ...d];
    }),
  );
  const { mesh, topology, normals, smooth } = readyPart(Float64Array.from(corners));
  const parent = perFace(Int32Array.from({ length: mesh.triangles.length / 3 }, (_, f) => f));
  const [left, front] = [0, 1].map((k) => min(...mesh.positions.filter((_, i) => i % 3 === k)));
  const surface = { mesh, topology, parent, normals: perCorner(normals) };
  return {
    surface,
    part: smooth,
    inPlan: facetsInPlan({ surface, part: smooth }, 0.02),
    faces: parent,
    placeOf: () => 0,
    fits: (v) => fits(mesh.positions[3 * v] - left, mesh.positions[3 * v + 1] - front),
    radiusMm,
    toleranceMm: 0.02,
  };
}

// As reach cuts the ground: in the slot little of the cutter fits, beside it nearly all.
test.each([
  [60, 0.4, 5, 0.02, 2],
  [60, 1.5, 3, 0.1, 2],
  [25, 0.3, 8, 0.3, 2],
])('a slot in ground %d wide, %d of it %d high, over what is %d high', async (W, slot, high, low, R) => {
  const L = 30,
    expected = L * (slot * high + (W - slot) * low);
  for (const shift of SHIFTS) {
    const a = W * (0.125 + 0.7 * shift);
    const xs = [0, W / 9, a - 0.05, a, a + slot, a + slot + 0.05, 0.95 * W, W].sort((p, q) => p - q);
    const ground = linedGround(xs, L, R, (x) => (x > a - 0.01 && x < a + slot + 0.01 ? slot / 2 / R : 0.95));
    const { volumesMm3 } = await volumeOver(ground, (x) => (x > a && x < a + slot ? high : low));
    expect(abs(volumesMm3[0] / expected - 1), `${a}`).toBeLessThan(SHARE);
  }
});

// What a cutter of radius R with corner radius e leaves on the floor of a box pocket: columns as high as the pocket in
// its corners, (4 - pi) R^2 in plan, and a fillet along all that it can run along: plane geometry. The ring of the
// fillet in the corners by Pappus: its cross section e^2 (1 - pi / 4), its centroid (5/3 - pi / 2) / (2 - pi / 2) e
// from the wall.
test.each([
  [40, 30, 3, 1, 20],
  [40, 30, 3, 3, 20],
  [25, 60, 5, 0.5, 12],
])('a box pocket %d x %d, cutter R %d with corners of %d, %d deep', async (W, L, R, e, depth) => {
  const inside = (x: number, y: number): readonly [number, number] => [min(x, W - x), min(y, L - y)];
  const heightAt = (x: number, y: number): number => {
    const [a, b] = inside(x, y).map((distance) => max(0, R - distance));
    const over = hypot(a, b) - (R - e);
    if (hypot(a, b) > R) return depth;
    return over > 0 ? e - sqrt(e * e - over * over) : 0;
  };
  const section = e * e * (1 - PI / 4),
    centroid = (e * (5 / 3 - PI / 2)) / (2 - PI / 2);
  const along = 2 * (W + L - 4 * R) + 2 * PI * (R - centroid);
  const expected = (4 - PI) * R * R * depth + section * along;
  for (const shift of SHIFTS) {
    const cells = 40 + Math.floor(20 * shift);
    const xs = Array.from({ length: cells + 1 }, (_, i) => (i * W) / cells);
    const ground = linedGround(xs, L, R, (x, y) => min(1, min(...inside(x, y)) / R));
    const faces = ground.faces.filter((f) =>
      [0, 1, 2].some((k) => ground.fits(ground.surface.mesh.triangles[3 * f + k]) < 1),
    );
    const { volumesMm3 } = await volumeOver({ ...ground, faces }, heightAt);
    expect(abs(volumesMm3[0] / expected - 1), `${cells}`).toBeLessThan(SHARE);
  }
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

test('over a place of upright facets alone stands nothing, and the others are as without it', async () => {
  const ground = groundOf(30, 20, 2),
    { mesh } = ground.surface;
  const upright = ground.surface.parent.filter((f) => planArea(mesh, f) === 0);
  const faces = Int32Array.from([...ground.faces, ...upright]);
  const placeOf = (f: number): number => (planArea(mesh, f) === 0 ? 1 : 0);
  const both = await volumeOver({ ...ground, faces, placeOf }, (x) => x, 2);
  expect(upright.length).toBeGreaterThan(0);
  expect(both.volumesMm3[1]).toBe(0);
  expect(abs(both.volumesMm3[0] / (30 * 20 * 15) - 1)).toBeLessThan(SHARE);
});

// Hemisphere 2/3 pi r^3, and a plane's area times the height over its middle: handbook formulas.
test.each([
  [3, 0.2],
  [6, 0],
  [12, 0.5],
])('a dome of radius %d beside a plane: that is asked about no longer (%d)', async (r, most) => {
  const [W, L] = [60, 30];
  const ground = linedGround([0, 10, 20, 30, 45, 60], L, 4, (x) => (most * x) / W);
  const { positions, triangles } = ground.surface.mesh;
  const left = min(...positions.filter((_, i) => i % 3 === 0));
  const isPlane = (f: number): boolean =>
    [0, 1, 2].every((k) => positions[3 * triangles[3 * f + k]] < left + W / 2 + 1e-9);
  const asked = [0, 0];
  const heightAt = (x: number, y: number): number => {
    asked[x < W / 2 ? 0 : 1]++;
    return x < W / 2 ? 0.1 + 0.02 * x : sqrt(max(0, r * r - hypot(x - 44, y - 16) ** 2));
  };
  const { volumesMm3 } = await volumeOver({ ...ground, placeOf: (f) => (isPlane(f) ? 0 : 1) }, heightAt, 2);
  expect(abs(volumesMm3[0] / ((W / 2) * L * (0.1 + 0.01 * (W / 2))) - 1)).toBeLessThan(SHARE);
  expect(abs(volumesMm3[1] / ((2 / 3) * PI * r ** 3) - 1)).toBeLessThan(2 * SHARE);
  expect(asked[1]).toBeGreaterThan(1.5 * asked[0]);
});

import { describe, expect, test } from 'vitest';
import { compensatedSum } from '../../src/core/sum.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { smoothNormals } from '../../src/part/smooth-normals.js';
import { resumeSurface, startSurface, type SurfaceBuilder } from '../../src/surface/surface-builder.js';
import { gridMesh, steps } from '../support/labelled-mesh.js';
import * as shapes from '../support/shapes.js';
import { assertValidTopology } from '../support/valid-topology.js';
import { partOf } from '../reach/part.js';
import { seededRandom } from '../reach/random.js';

const solids: Record<string, Float64Array> = {
  box: shapes.turned(shapes.box(3, 5, 7), 31),
  ball: shapes.icosphere(4, 1),
  'T-slot': shapes.turned(shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 }), 12),
};

function halveAtRandom(build: SurfaceBuilder, times: number, seed: number): void {
  const random = seededRandom(seed);
  for (let i = 0; i < times; i++)
    build.bisect(Math.floor(random() * 3 * build.faceCount()), 0.05 + 0.9 * random());
}

describe.each(Object.keys(solids))('%s halved at random', (name) => {
  const { mesh, topology } = partOf(solids[name]);
  const normals = smoothNormals(mesh, topology);

  test.each([1, 2, 3])(
    "seed %d: valid twins, closed, one vertex and two facets a cut, Euler's number kept",
    (seed) => {
      const build = startSurface(mesh, topology, normals);
      halveAtRandom(build, 700, seed);
      const { surface } = build.finish();
      assertValidTopology(surface.mesh, surface.topology);
      expect(surface.topology.twin.includes(-1)).toBe(false);
      expect(surface.mesh.positions.length / 3).toBe(mesh.positions.length / 3 + 700);
      expect(surface.mesh.triangles.length / 3).toBe(mesh.triangles.length / 3 + 1400);
    },
  );

  test('seed 4: each facet of the part keeps its area to 1e-12 and its plane; labels go with it', () => {
    const build = startSurface(mesh, topology, normals);
    build.arrays().labels.set(mesh.triangles.filter((_, h) => h % 3 === 0).map((_, f) => f % 251));
    halveAtRandom(build, 500, 4);
    const { surface, labels } = build.finish();
    const before = facetNormals(mesh),
      after = facetNormals(surface.mesh);
    const shares = before.areas.map((_, parent) =>
      compensatedSum(after.areas.filter((_a, f) => surface.parent[f] === parent)),
    );
    shares.forEach((area, f) => expect(Math.abs(area / before.areas[f] - 1)).toBeLessThan(1e-12));
    let tilted = 0,
      compared = 0;
    surface.parent.forEach((parent, f) => {
      expect(labels[f]).toBe(parent % 251);
      const off = [0, 1, 2].map((i) => Math.abs(after.normals[3 * f + i] - before.normals[3 * parent + i]));
      if (after.areas[f] <= 1e-6) return;
      tilted = Math.max(tilted, ...off);
      compared++;
    });
    expect(compared).toBeGreaterThan(mesh.triangles.length / 3);
    expect(tilted).toBeLessThan(1e-6);
  });

  test('the inputs are not changed, and going on from a finished surface leaves it alone', () => {
    const copies = [mesh.positions.slice(), mesh.triangles.slice(), topology.twin.slice(), normals.slice()];
    const build = startSurface(mesh, topology, normals);
    halveAtRandom(build, 50, 5);
    const first = build.finish();
    const frozen = first.surface.mesh.triangles.slice();
    halveAtRandom(resumeSurface(first.surface, first.labels), 50, 6);
    expect([mesh.positions, mesh.triangles, topology.twin, normals]).toEqual(copies);
    expect(first.surface.mesh.triangles).toEqual(frozen);
  });
});

// Interpolated along the chord and made unit: half-way between two unit normals lies their bisector.
test("a new corner's normal is the interpolated one, unit; each side of a crease keeps its own", () => {
  const { mesh, topology } = partOf(shapes.icosphere(5, 2));
  const build = startSurface(mesh, topology, smoothNormals(mesh, topology));
  const [a, b] = [0, 1].map((k) => [...build.arrays().normals.subarray(3 * k, 3 * k + 3)]);
  const v = build.bisect(0, 0.25);
  const mix = a.map((x, i) => 0.75 * x + 0.25 * b[i]);
  const length = Math.sqrt(mix.reduce((sum, x) => sum + x * x, 0));
  const { triangles, normals } = build.arrays();
  const at = [...triangles.keys()].slice(0, 3 * build.faceCount()).filter((h) => triangles[h] === v);
  expect(at.length).toBe(4);
  for (const h of at) mix.forEach((x, i) => expect(normals[3 * h + i]).toBeCloseTo(x / length, 12));

  const box = partOf(shapes.box(2, 2, 2));
  const sharp = startSurface(box.mesh, box.topology, smoothNormals(box.mesh, box.topology));
  halveAtRandom(sharp, 40, 9);
  const { surface } = sharp.finish();
  const flat = facetNormals(surface.mesh).normals;
  surface.normals.forEach((x, i) => expect(x).toBeCloseTo(flat[3 * Math.floor(i / 9) + (i % 3)], 9));
});

test('open edges stay open and in place', () => {
  const { mesh, topology } = gridMesh(steps(3), steps(2));
  const up = Float64Array.from({ length: 3 * mesh.triangles.length }, (_, i) => (i % 3 === 2 ? 1 : 0));
  const build = startSurface(mesh, topology, up);
  halveAtRandom(build, 300, 7);
  const { surface } = build.finish();
  assertValidTopology(surface.mesh, surface.topology);
  const { positions, triangles } = surface.mesh;
  let length = 0;
  surface.topology.twin.forEach((twin, h) => {
    if (twin >= 0) return;
    const a = 3 * triangles[h],
      b = 3 * triangles[h % 3 === 2 ? h - 2 : h + 1];
    length += Math.sqrt((positions[a] - positions[b]) ** 2 + (positions[a + 1] - positions[b + 1]) ** 2);
  });
  expect(length).toBeCloseTo(10, 9);
  expect(compensatedSum(facetNormals(surface.mesh).areas)).toBeCloseTo(6, 11);
});

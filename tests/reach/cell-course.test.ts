import { expect, test } from 'vitest';
import { cellCourse, type CellCourse } from '../../src/reach/cell-course.js';
import { ringWalk } from '../../src/reach/ring-walk.js';
import type { ReachEngine } from '../../src/reach/reach-engine.js';
import { toldByMiddles } from '../../src/reach/reach-middles.js';
import { reachBorders, unreachedArea } from '../../src/reach/unreached-area.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { startSurface } from '../../src/surface/surface-builder.js';
import { gridMesh, steps } from '../support/labelled-mesh.js';

const SIDE = 25,
  STEP = 0.1,
  MIDDLE = 12 * SIDE + 12;
type Place = readonly [number, number];

/** A slanting lattice of 25 x 25 vertices whose every third one each way is a sample. */
function lattice(reachAt: (p: Place) => number, normalAt: (p: Place) => readonly number[] = () => [0, 0, 1]) {
  const xs = steps(SIDE - 1, STEP);
  const { mesh, topology } = gridMesh(xs, xs);
  const { triangles, positions } = mesh;
  for (let o = 0; o < positions.length; o += 3) positions[o] += 0.5 * (positions[o + 1] - 1.2);
  const place = (v: number): Place => [positions[3 * v], positions[3 * v + 1]];
  const normals = new Float64Array(3 * triangles.length);
  triangles.forEach((v, h) => normals.set(normalAt(place(v)), 3 * h));
  const arrays = startSurface(mesh, topology, normals).arrays();
  const corner = new Int32Array(SIDE * SIDE).fill(-1),
    sampled = new Uint8Array(SIDE * SIDE);
  triangles.forEach((v, h) => {
    const i = v % SIDE,
      j = Math.floor(v / SIDE);
    if (i > 0 && j > 0 && i < SIDE - 1 && j < SIDE - 1) corner[v] = h;
    if (i % 3 === 0 && j % 3 === 0 && corner[v] >= 0) sampled[v] = 1;
  });
  const reach = Float64Array.from(corner, (_, v) => (sampled[v] === 1 ? reachAt(place(v)) : NaN));
  const course = (apart = 10, toleranceMm = 0.02): CellCourse =>
    cellCourse(arrays, ringWalk(arrays, corner), reach, sampled, {
      corner,
      toleranceMm,
      apartMm: () => apart,
    });
  return { course, corner, place, arrays, reach };
}

const plane = ([x, y]: Place): number => 3 + 0.2 * x - 0.1 * y;

test('a linear reach radius is told exactly, on level ground and where normals turn steadily', () => {
  const onSphere = ([x, y]: Place): number[] => {
    const n = [(x - 1.2) / 8, (y - 1.2) / 8];
    return [...n, Math.sqrt(1 - n[0] * n[0] - n[1] * n[1])];
  };
  for (const normalAt of [() => [0, 0, 1], onSphere]) {
    const { course, place } = lattice(plane, normalAt);
    const one = course(10, 0.0003);
    expect(one.fit(MIDDLE, 2)).toBe(true);
    for (const v of [MIDDLE + 1, MIDDLE - SIDE, MIDDLE + SIDE + 1])
      expect(one.at(v)).toBeCloseTo(plane(place(v)), 9);
  }
});

test('no limit is told where no sample has one; a limit beside none is no course', () => {
  const open = lattice(() => Infinity).course();
  expect(open.fit(MIDDLE, 2)).toBe(true);
  expect(open.at(MIDDLE + 1)).toBe(Infinity);
  expect(
    lattice(([x]) => (x > 1.2 ? Infinity : 3))
      .course()
      .fit(MIDDLE, 2),
  ).toBe(false);
});

test('a ridge in the reach radius, samples too far apart, or a fold beside it: no course', () => {
  expect(
    lattice(([x]) => 3 - 0.3 * Math.abs(x - 1.2))
      .course()
      .fit(MIDDLE, 2),
  ).toBe(false);
  expect(lattice(plane).course(0.2).fit(MIDDLE, 2)).toBe(false);
  const { course, corner } = lattice(plane);
  corner[MIDDLE + 3] = -1;
  expect(course().fit(MIDDLE, 2)).toBe(false);
});

// Over a way w a normal off by e says of something e w / 4 high; a quarter of the tolerance is let pass.
test.each([
  [0.1, true],
  [0.25, false],
])('a vertex whose normal is off by %d rad, 0.1 mm from the sample: told %j', (rad, told) => {
  const { course, arrays } = lattice(plane);
  const v = MIDDLE + 1;
  arrays.triangles.forEach((w, h) => {
    if (w === v) arrays.normals.set([Math.sin(rad), 0, Math.cos(rad)], 3 * h);
  });
  const one = course();
  expect(one.fit(MIDDLE, 2)).toBe(true);
  expect(Number.isNaN(one.at(v))).toBe(!told);
});

test('borders between vertices that say the same of a linear reach are drawn where it passes the radius, unasked', async () => {
  const { arrays } = lattice(plane);
  const xs = steps(SIDE - 1, STEP);
  const { mesh, topology } = gridMesh(xs, xs);
  const build = startSurface(mesh, topology, arrays.normals);
  const { surface, labels } = build.finish();
  const reachRadii = Float64Array.from({ length: SIDE * SIDE }, (_, v) => 1 + mesh.positions[3 * v]);
  const radii = Float64Array.of(1.537, 2.911);
  const counts = Uint8Array.from(reachRadii, (radius) => radii.filter((one) => one <= radius).length);
  const asked = {
    surface,
    labels,
    reachRadii,
    counts,
    radii,
    toldBorder: toldByMiddles(reachRadii, new Map(), new Uint8Array(counts.length).fill(1), 3),
    part: { mesh, normals: arrays.normals, twin: surface.topology.twin },
  };
  const engine: Pick<ReachEngine, 'run'> = { run: () => Promise.reject(new Error('asked')) };
  const borders = await reachBorders(asked, engine, 0.015, {});
  const { areas } = facetNormals(surface.mesh);
  radii.forEach((radius, i) => {
    const { totalMm2 } = unreachedArea(asked, areas, borders[i], new Float32Array(3 * areas.length));
    expect(totalMm2 / ((SIDE - 1) * STEP)).toBeCloseTo(radius - 1, 6);
  });
});

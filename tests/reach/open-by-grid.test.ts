import { beforeAll, describe, expect, test } from 'vitest';
import { MODELS, modelBytes } from '../../models/catalogue.js';
import { openByGrid } from '../../src/reach/open-by-grid.js';
import { ballReach } from '../../src/reach/ball-reach.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { trueFacets } from '../../src/part/true-facets.js';
import { smoothNormals } from '../../src/part/smooth-normals.js';
import { readPart } from '../../src/read/read-part.js';
import { heightBounds } from '../../src/reach/height-bounds.js';
import { ballQuery } from '../../src/reach/ball-contact.js';
import { buildPartTree } from '../../src/reach/build-part-tree.js';
import { randomNumbers } from '../support/shapes.js';

const POINTS = 100_000;
const TOLERANCE_MM = 0.02;

// What the grid calls surely reached must be reached by the exact query, which knows nothing of the grid.
describe.each(MODELS.map((model) => ({ name: model.name, model })))('$name', ({ model }) => {
  const ready = async () => {
    const soup = await readPart(modelBytes(model), { name: 'model.stl' });
    const { mesh, topology } = prepareMesh(soup, { axis: [0, 0, 1], stand: true });
    const normals = smoothNormals(mesh, topology);
    const tree = buildPartTree(trueFacets({ mesh, normals, twin: topology.twin }, 0.1 * TOLERANCE_MM));
    return { mesh, normals, tree, bounds: heightBounds(mesh, TOLERANCE_MM) };
  };
  let part: Awaited<ReturnType<typeof ready>>;
  beforeAll(async () => {
    part = await ready();
  });

  test.each([2, 8])(
    'ball R %d: of 100000 random points (seed 4711) none that the grid settles fails the exact query',
    (radius) => {
      const { mesh, normals, tree, bounds } = part;
      const isOpen = openByGrid(bounds, radius, TOLERANCE_MM);
      const random = randomNumbers(4711);
      const settled: number[][] = [];
      const item = new Float64Array(6);
      for (let i = 0; i < POINTS; i++) {
        randomPoint(mesh.positions, mesh.triangles, normals, random, item);
        if (isOpen(item[0], item[1], item[2], item[3], item[4], item[5])) settled.push([...item]);
      }
      const limits = { toleranceMm: TOLERANCE_MM, slackMm: 0.1 * TOLERANCE_MM };
      const reach = ballReach(ballQuery(tree), limits);
      expect(settled.length).toBeGreaterThan(POINTS / 100);
      expect(
        settled.filter(([x, y, z, nx, ny, nz]) => reach.radius(x, y, z, nx, ny, nz, radius) < Infinity),
      ).toHaveLength(0);
    },
  );
});

/** A point in a random facet that faces up, with the interpolated normal there. */
function randomPoint(
  positions: Float64Array,
  triangles: Uint32Array,
  normals: Float64Array,
  random: () => number,
  out: Float64Array,
): void {
  const facets = triangles.length / 3;
  let f = Math.floor(random() * facets);
  while (!(normals[9 * f + 2] > 0.5)) f = (f + 1) % facets;
  let v = random(),
    w = random();
  if (v + w > 1) [v, w] = [1 - v, 1 - w];
  const weights = [1 - v - w, v, w];
  out.fill(0);
  weights.forEach((weight, k) => {
    for (let i = 0; i < 3; i++) {
      out[i] += weight * positions[3 * triangles[3 * f + k] + i];
      out[3 + i] += weight * normals[9 * f + 3 * k + i];
    }
  });
  const length = Math.sqrt(out[3] ** 2 + out[4] ** 2 + out[5] ** 2);
  for (let i = 3; i < 6; i++) out[i] /= length;
}

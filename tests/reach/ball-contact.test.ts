import { describe, expect, test } from 'vitest';
import { ballQuery } from '../../src/reach/ball-contact.js';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import { triangleRayDistance } from '../../src/reach/ray-distance.js';
import * as shapes from '../support/shapes.js';
import { heightBlock } from '../support/shapes/height-block.js';
import { partOf } from './part.js';
import { seededRandom } from './random.js';

describe.each([
  ['ball', shapes.icosphere(10, 3)],
  ['T-slot', shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 })],
  [
    'pocket far from the origin',
    shapes.moved(shapes.roundPocket({ segments: 32, filletFacets: 4 }), [1e4, -7e3, 25]),
  ],
] as const)('%s', (_, corners) => {
  const { mesh } = partOf(corners);
  const { min, max } = shapes.measureSoup(corners);

  test('the deepest entry is the one that the loop over all facets finds, 400 places, seed 77', () => {
    const random = seededRandom(77);
    const tree = buildPartTree(meshFacets(mesh));
    const query = ballQuery(tree);
    const out = { squared: 0, x: 0, y: 0, z: 0 };
    let hits = 0;
    for (let n = 0; n < 400; n++) {
      const c = min.map((low, i) => low - 4 + (max[i] - low + 8) * random());
      const radius = 0.5 + 6 * random();
      const from = Float64Array.from(c, (p, i) => p - tree.centre[i]);
      let deepest = 0;
      for (let t = 0; t < tree.facetOf.length; t++) {
        triangleRayDistance(tree.corners, 9 * t, from, out);
        deepest = Math.max(deepest, radius - Math.sqrt(out.squared));
      }
      const contact = query.deepest(Float64Array.of(c[0], c[1], c[2], radius, Infinity));
      expect(contact.depth).toBeCloseTo(deepest, 9);
      if (deepest <= 0) continue;
      hits++;
      // Beside the shaft the contact is told at the ball's height.
      const [dx, dy, dz] = [contact.x - c[0], contact.y - c[1], contact.z - c[2]];
      expect(dz).toBeLessThanOrEqual(1e-6);
      expect(Math.sqrt(dx * dx + dy * dy + dz * dz)).toBeCloseTo(radius - deepest, 5);
    }
    expect(hits).toBeGreaterThan(100);
    expect(hits).toBeLessThan(400);
  });

  test('stopAbove: some entry deeper than that, if there is one, seed 78', () => {
    const random = seededRandom(78);
    const query = ballQuery(buildPartTree(meshFacets(mesh)));
    for (let n = 0; n < 200; n++) {
      const c = min.map((low, i) => low - 2 + (max[i] - low + 4) * random());
      const { depth } = query.deepest(Float64Array.of(c[0], c[1], c[2], 3, Infinity));
      const quick = query.deepest(Float64Array.of(c[0], c[1], c[2], 3, 0.5)).depth;
      if (depth > 0.5) expect(quick).toBeGreaterThan(0.5);
      else expect(quick).toBe(depth);
    }
  });
});

// Where a ball all but fits a hollow, hundreds of facets are nearly as near as the nearest: what is left out
// of the search is told by columns of the tree, which must not be too narrow or too low.
test.each([
  [0, 6],
  [2e3, 300],
])(
  'balls that all but fit a fine hollow, %d mm from the origin, R to %d: as the loop over all facets, seed 79',
  (far, most) => {
    const random = seededRandom(79);
    const steps = Array.from({ length: 61 }, (_, i) => i / 10);
    const hollow = heightBlock(steps, steps, (x, y) => 3 + (x - 3) ** 2 / 12 + (y - 3) ** 2 / 9);
    const { mesh } = partOf(shapes.moved(hollow, [far, -far, 0]));
    const tree = buildPartTree(meshFacets(mesh));
    const query = ballQuery(tree);
    const out = { squared: 0, x: 0, y: 0, z: 0 };
    let hits = 0;
    for (let n = 0; n < 300; n++) {
      const x = 1 + 4 * random(),
        y = 1 + 4 * random(),
        radius = 1 + (n % 2 === 0 ? most : 5) * random();
      const normal = [-(x - 3) / 6, -(y - 3) / 4.5, 1],
        length = Math.sqrt(normal[0] ** 2 + normal[1] ** 2 + 1);
      const away = radius + 0.004 * (random() - 0.5);
      const [cx, cy, cz] = [x + far, y - far, 3 + (x - 3) ** 2 / 12 + (y - 3) ** 2 / 9].map(
        (p, i) => p + (away * normal[i]) / length,
      );
      const from = Float64Array.from([cx, cy, cz], (p, i) => p - tree.centre[i]);
      let deepest = 0;
      for (let t = 0; t < tree.facetOf.length; t++) {
        triangleRayDistance(tree.corners, 9 * t, from, out);
        deepest = Math.max(deepest, radius - Math.sqrt(out.squared));
      }
      expect(query.deepest(Float64Array.of(cx, cy, cz, radius, Infinity)).depth).toBeCloseTo(deepest, 9);
      if (deepest > 0) hits++;
    }
    expect(hits).toBeGreaterThan(100);
  },
);

// A ball whose centre stands h over a plane enters it by R - h; its shaft enters a wall beside it as the ball
// does.
test('plane and wall, by hand', () => {
  const query = ballQuery(buildPartTree(meshFacets(partOf(shapes.box(20, 20, 20)).mesh)));
  expect(query.deepest(Float64Array.of(10, 10, 22, 3, Infinity))).toMatchObject({
    depth: 1,
    x: 10,
    y: 10,
    z: 20,
  });
  expect(query.deepest(Float64Array.of(10, 10, 23, 3, Infinity)).depth).toBe(0);
  const shaft = query.deepest(Float64Array.of(-2, 10, 5, 3, Infinity));
  expect(shaft.depth).toBeCloseTo(1, 6);
  expect(shaft.x).toBeCloseTo(0, 6);
  expect(shaft.z).toBeCloseTo(5, 6);
});

// Over a facet a ball may wander until its foot comes to an edge: of a triangle of legs 8 and 6 the inscribed circle
// has radius 2 and its centre (2, 2).
test('room over a facet: how far to its nearest edge, by hand', () => {
  const query = ballQuery(buildPartTree(meshFacets(partOf(Float64Array.of(0, 0, 1, 8, 0, 1, 0, 6, 1)).mesh)));
  const out = new Float64Array(4);
  expect(query.roomOver(0, 2, 2, 4, out)).toBeCloseTo(2, 6);
  expect([...out].map((value) => Math.round(1e6 * value) / 1e6)).toEqual([0, 0, 1, 3]);
  expect(query.roomOver(0, 1, 3, -1, out)).toBeCloseTo(1, 6);
  expect(out[3]).toBeCloseTo(-2, 6);
  expect(query.roomOver(0, 5, 5, 4, out)).toBe(0);
});

import { expect, test } from 'vitest';
import { blockMaxima, liftOver } from '../../src/reach/grid-queries.js';
import { DEFAULT_NODES, gridPitch, gridTiles, gridWindow, planBounds } from '../../src/reach/grid-window.js';
import { heightGrid, nodeHeights } from '../../src/reach/height-grid.js';
import {
  box,
  boxPocket,
  filletedBoss,
  frustumOnPlate,
  hemisphere,
  icosphere,
  joined,
  moved,
  roundPocket,
  threePlaneCorner,
  tSlot,
  turned,
} from '../support/shapes.js';
import { heightOver, partOf } from './part.js';
import { seededRandom } from './random.js';

const SOLIDS: Readonly<Record<string, () => Float64Array>> = {
  'pocket in 28 facets, turned': () => turned(boxPocket({ width: 12, length: 17, depth: 8, land: 4 }), 17.3),
  'round pocket': () => roundPocket({ segments: 96, filletFacets: 8, side: 44 }),
  'hemisphere of fine facets': () => hemisphere(9, 96),
  'boss, far away': () => moved(filletedBoss({ segments: 24, filletFacets: 5, side: 40 }), [1e4, -2e4, 3e3]),
  'corner with draft, turned': () => turned(threePlaneCorner(3), 31),
  'overhangs: T-slot, turned': () => turned(tSlot({ neck: 6, lip: 3, width: 14, depth: 10, length: 30 }), 40),
  'ball over a box': () => joined(box(10, 8, 3), moved(icosphere(4, 3), [5, 4, 12])),
  frustum: () => frustumOnPlate({ baseRadius: 8, topRadius: 6, height: 9, segments: 50, side: 30 }),
};

/** A place in the closed cell of a node, corners and edges of the cell included now and then. */
const within = (random: () => number): number => {
  const t = random();
  return t < 0.1 ? -0.5 : t > 0.9 ? 0.5 : (t - 0.1) / 0.8 - 0.5;
};

test.each(Object.keys(SOLIDS))(
  '%s: heights and bounds against every facet at random places (seed 11)',
  (name) => {
    const { mesh, topology } = partOf(SOLIDS[name]());
    const random = seededRandom(11);
    const few = Math.min(5000, 3e6 / mesh.triangles.length);
    const outside: string[] = [];
    for (const [pitch, offset] of [
      [0.23, 0.1],
      [1.7, 0.4],
      [7.3, 0],
    ]) {
      const window = gridWindow(planBounds(mesh), pitch, offset);
      const grid = heightGrid(mesh, topology, window);
      for (let n = 0; n < few; n++) {
        const i = Math.floor(random() * grid.columns),
          j = Math.floor(random() * grid.rows),
          k = j * grid.columns + i;
        const x = grid.originXMm + i * pitch,
          y = grid.originYMm + j * pitch;
        const atNode = heightOver(mesh, x, y);
        if (grid.heights[k] !== atNode) expect(grid.heights[k]).toBeCloseTo(atNode, 7);
        const z = heightOver(mesh, x + within(random) * pitch, y + within(random) * pitch);
        // Rounding of the place itself in the test.
        if (z > grid.upper[k] + 1e-7 || z < grid.lower[k] - 1e-7) {
          outside.push(`${pitch}: ${grid.lower[k]} ${z} ${grid.upper[k]} at ${i} ${j}`);
        }
      }
    }
    expect(outside).toEqual([]);
  },
);

// Rounded coordinates leave walls of STL files a hair from upright: their planes rise by millions of mm a
// cell, and so does the rounding of what they say. A stickout of 350 m came of it.
test.each([1e-6, 1e-9, 1e-12])(
  'walls that lean by %d mm bound nothing above their own top, nor below their foot',
  (lean) => {
    const corners = box(12, 9, 5).map((value, i, all) =>
      i % 3 === 0 && all[i + 2] > 2.5 ? value * (1 - lean) : value,
    );
    const { mesh, topology } = partOf(turned(corners, 12.7));
    const { upper, lower } = heightGrid(mesh, topology, gridWindow(planBounds(mesh), 0.3, 0.1));
    expect(Math.max(...upper)).toBe(5);
    expect(Math.min(...lower.filter((z) => z > -Infinity))).toBeGreaterThanOrEqual(0);
  },
);

test('bounds are tight: a tilted plane costs the height it has in a cell, a level floor nothing', () => {
  const { mesh, topology } = partOf(
    turned(boxPocket({ width: 40, length: 40, depth: 8, tiltDeg: 10, land: 5 }), 25),
  );
  const grid = heightGrid(mesh, topology, gridWindow({ minX: -5, minY: -5, maxX: 5, maxY: 5 }, 0.5));
  const slope = Math.tan((10 * Math.PI) / 180);
  const spread =
    0.5 * slope * (Math.abs(Math.cos((25 * Math.PI) / 180)) + Math.abs(Math.sin((25 * Math.PI) / 180)));
  for (let k = 0; k < grid.heights.length; k++) {
    expect(grid.upper[k] - grid.heights[k]).toBeCloseTo(spread / 2, 6);
    expect(grid.heights[k] - grid.lower[k]).toBeCloseTo(spread / 2, 6);
  }
});

test('walls and slivers: a wall exactly on nodes counts as its upper edge, a needle across 50 cells stays in its heights', () => {
  const { mesh } = partOf(box(10, 10, 4));
  const window = { originXMm: -1, originYMm: -1, pitchMm: 1, columns: 14, rows: 14 };
  const { minX, minY } = planBounds(mesh);
  const heights = nodeHeights(
    mesh,
    { ...window, originXMm: minX - 1, originYMm: minY - 1 },
    new Float64Array(196),
  );
  const top = Math.max(...heights);
  expect([...heights].filter((z) => z === top).length).toBe(11 * 11);
  expect([...heights].filter((z) => z === -Infinity).length).toBe(196 - 121);
  const needle = {
    positions: Float64Array.of(-1, 2.0000001, 5, 60, 2.0000002, 9, 60, 2.0000002 + 1e-12, -7),
    triangles: Uint32Array.of(0, 1, 2),
  };
  const topology = { twin: Int32Array.of(-1, -1, -1) };
  const grid = heightGrid(needle, topology, { originXMm: 0, originYMm: 0, pitchMm: 1, columns: 50, rows: 5 });
  for (let i = 0; i < 50; i++) {
    const z = 5 + (4 * (i + 1)) / 61,
      upper = 5 + (4 * (i + 1.5)) / 61;
    expect(grid.upper[100 + i]).toBeGreaterThanOrEqual(upper - 1e-9);
    expect(grid.upper[100 + i]).toBeLessThanOrEqual(9 + 1e-6);
    expect(grid.upper[i]).toBe(-Infinity);
    expect(grid.lower[100 + i]).toBe(-Infinity);
    expect(grid.heights[100 + i] === -Infinity || Math.abs(grid.heights[100 + i] - z) < 1e-6).toBe(true);
  }
});

test('bounds of cells hold what every facet says of points in them (seed 5), and most heights lie outside them', () => {
  const { mesh, topology } = partOf(SOLIDS['overhangs: T-slot, turned']());
  const grid = heightGrid(mesh, topology, gridWindow(planBounds(mesh), 0.25));
  const random = seededRandom(5);
  let above = 0,
    below = 0;
  for (let n = 0; n < 5000; n++) {
    const x = grid.originXMm + random() * (grid.columns - 1) * 0.25;
    const y = grid.originYMm + random() * (grid.rows - 1) * 0.25;
    const z = -25 + 30 * random();
    const k =
      Math.round((y - grid.originYMm) / 0.25) * grid.columns + Math.round((x - grid.originXMm) / 0.25);
    const truth = heightOver(mesh, x, y);
    expect(grid.upper[k]).toBeGreaterThanOrEqual(truth);
    expect(grid.lower[k]).toBeLessThanOrEqual(truth);
    if (grid.upper[k] <= z) above++;
    if (grid.lower[k] > z) below++;
  }
  expect(above + below).toBeGreaterThan(0.9 * 5000);
  expect(below).toBeGreaterThan(1000);
});

test('maximum over a disc and lift of a cone: equal to trying every cell (seed 2)', () => {
  const random = seededRandom(2);
  const window = { originXMm: 3, originYMm: -4, pitchMm: 0.5, columns: 37, rows: 53 };
  const upper = Float64Array.from({ length: 37 * 53 }, () =>
    random() < 0.3 ? -Infinity : 10 * random() ** 3,
  );
  const maxima = blockMaxima(window, upper);
  for (let n = 0; n < 300; n++) {
    const x = 25 * random(),
      y = -8 + 34 * random(),
      radius = 6 * random() ** 2;
    let best = -Infinity,
      lift = -Infinity;
    for (let k = 0; k < upper.length; k++) {
      const dx = Math.max(0, Math.abs(x - 3 - (k % 37) * 0.5) - 0.25);
      const dy = Math.max(0, Math.abs(y + 4 - Math.floor(k / 37) * 0.5) - 0.25);
      const distance = 0.5 * Math.sqrt((dx / 0.5) ** 2 + (dy / 0.5) ** 2);
      if (distance > radius) continue;
      best = Math.max(best, upper[k]);
      lift = Math.max(lift, upper[k] - 2 * distance);
    }
    expect(liftOver(maxima, x, y, radius, () => 0)).toBe(best);
    const found = liftOver(maxima, x, y, radius, (d) => 2 * d);
    if (lift === -Infinity) expect(found).toBe(lift);
    else expect(found).toBeCloseTo(lift, 9);
    expect(liftOver(maxima, x, y, radius, (d) => 2 * d, 5)).toBe(Math.max(5, found));
  }
});

test('pitch: never below the tolerance, about the asked number of nodes, also for a part that is a line in plan', () => {
  const bounds = { minX: 0, minY: 0, maxX: 100, maxY: 50 };
  expect(gridPitch(bounds, 0.5)).toBe(0.5);
  const { columns, rows } = gridWindow(bounds, gridPitch(bounds, 0.001));
  expect((columns * rows) / DEFAULT_NODES).toBeCloseTo(1, 2);
  expect(gridPitch({ ...bounds, maxY: 0 }, 0.01, 1000)).toBeCloseTo(0.1, 12);
  expect(() => gridPitch({ minX: 1, minY: 1, maxX: 1, maxY: 1 }, 0)).toThrow(RangeError);
  expect(() => gridWindow(bounds, 0)).toThrow(RangeError);
  expect(() => planBounds({ positions: new Float64Array(0), triangles: new Uint32Array(0) })).toThrow(
    RangeError,
  );
});

test('tiles partition the window, stay small, and overlap as asked', () => {
  const window = gridWindow({ minX: 0, minY: 0, maxX: 90, maxY: 47 }, 0.25);
  const tiles = gridTiles(window, 3, 8000);
  const seen = new Uint8Array(window.columns * window.rows);
  for (const { window: inner, firstColumn, firstRow, columns, rows } of tiles) {
    expect(inner.columns * inner.rows).toBeLessThanOrEqual(8000);
    const left = Math.round((inner.originXMm - window.originXMm) / 0.25) + firstColumn;
    const below = Math.round((inner.originYMm - window.originYMm) / 0.25) + firstRow;
    expect(firstColumn === 12 || left === 0).toBe(true);
    expect(firstColumn + columns + 12 <= inner.columns || left + columns + 12 > window.columns).toBe(true);
    for (let j = 0; j < rows; j++)
      for (let i = 0; i < columns; i++) seen[(below + j) * window.columns + left + i]++;
  }
  expect(seen.every((count) => count === 1)).toBe(true);
  expect(gridTiles(window, 3).length).toBe(1);
  expect(() => gridTiles(window, 100, 8000)).toThrow(RangeError);
});

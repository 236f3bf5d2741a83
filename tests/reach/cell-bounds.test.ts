import { expect, test } from 'vitest';
import { blockMaxima, liftOver } from '../../src/reach/grid-queries.js';
import { boundsOf, type Bounds } from '../../src/core/bounds.js';
import type { Mesh } from '../../src/part/types.js';
import { cellBounds } from '../../src/reach/cell-bounds.js';
import { gridPitch, gridWindow, type GridWindow } from '../../src/reach/grid-window.js';
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

/** A grid over a mesh, moved by an offset. */
function windowOver(mesh: Mesh, pitchMm: number, offsetMm: number): GridWindow {
  const { min, max } = boundsOf(mesh.positions);
  const window = gridWindow({ min, max: [max[0] + pitchMm, max[1] + pitchMm, max[2]] }, pitchMm);
  return { ...window, originXMm: window.originXMm - offsetMm, originYMm: window.originYMm - offsetMm };
}

/** A place in the closed cell of a node, corners and edges of the cell included now and then. */
const within = (random: () => number): number => {
  const t = random();
  return t < 0.1 ? -0.5 : t > 0.9 ? 0.5 : (t - 0.1) / 0.8 - 0.5;
};

test.each(Object.keys(SOLIDS))('%s: bounds against every facet at random places (seed 11)', (name) => {
  const { mesh } = partOf(SOLIDS[name]());
  const random = seededRandom(11);
  const few = Math.min(5000, 3e6 / mesh.triangles.length);
  const outside: string[] = [];
  for (const [pitch, offset] of [
    [0.23, 0.1],
    [1.7, 0.4],
    [7.3, 0],
  ]) {
    const window = windowOver(mesh, pitch, offset);
    const upper = cellBounds(mesh, window);
    for (let n = 0; n < few; n++) {
      const i = Math.floor(random() * window.columns),
        j = Math.floor(random() * window.rows);
      const x = window.originXMm + (i + within(random)) * pitch,
        y = window.originYMm + (j + within(random)) * pitch;
      const z = heightOver(mesh, x, y),
        bound = upper[j * window.columns + i];
      // Rounding of the place itself in the test.
      if (z > bound + 1e-7) outside.push(`${pitch}: ${z} over ${bound} at ${i} ${j}`);
    }
  }
  expect(outside).toEqual([]);
});

// Rounded coordinates leave walls of STL files a hair from upright: their planes rise by millions of mm a
// cell, and so does the rounding of what they say. A stickout of 350 m came of it.
test.each([1e-6, 1e-9, 1e-12])('walls that lean by %d mm bound nothing above their own top', (lean) => {
  const corners = box(12, 9, 5).map((value, i, all) =>
    i % 3 === 0 && all[i + 2] > 2.5 ? value * (1 - lean) : value,
  );
  const { mesh } = partOf(turned(corners, 12.7));
  expect(Math.max(...cellBounds(mesh, windowOver(mesh, 0.3, 0.1)))).toBe(5);
});

test('bounds are tight: a tilted plane costs the height it has in a cell, a level floor nothing', () => {
  const { mesh } = partOf(turned(boxPocket({ width: 40, length: 40, depth: 8, tiltDeg: 10, land: 5 }), 25));
  const window = gridWindow({ min: [-5, -5, 0], max: [5, 5, 0] }, 0.5);
  const slope = Math.tan((10 * Math.PI) / 180);
  const spread =
    0.5 * slope * (Math.abs(Math.cos((25 * Math.PI) / 180)) + Math.abs(Math.sin((25 * Math.PI) / 180)));
  cellBounds(mesh, window).forEach((bound, k) => {
    const x = window.originXMm + 0.5 * (k % window.columns),
      y = window.originYMm + 0.5 * Math.floor(k / window.columns);
    expect(bound - heightOver(mesh, x, y)).toBeCloseTo(spread / 2, 6);
  });
});

test('a needle across 50 cells stays in its heights', () => {
  const needle = {
    positions: Float64Array.of(-1, 2.0000001, 5, 60, 2.0000002, 9, 60, 2.0000002 + 1e-12, -7),
    triangles: Uint32Array.of(0, 1, 2),
  };
  const bounds = cellBounds(needle, { originXMm: 0, originYMm: 0, pitchMm: 1, columns: 50, rows: 5 });
  for (let i = 0; i < 50; i++) {
    expect(bounds[100 + i]).toBeGreaterThanOrEqual(5 + (4 * (i + 1.5)) / 61 - 1e-9);
    expect(bounds[100 + i]).toBeLessThanOrEqual(9 + 1e-6);
    expect(bounds[i]).toBe(-Infinity);
  }
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
  const bounds = { min: [0, 0, 0], max: [100, 50, 1] } satisfies Bounds;
  expect(gridPitch(bounds, 0.5, 1e6)).toBe(0.5);
  const { columns, rows } = gridWindow(bounds, gridPitch(bounds, 0.001, 1e6));
  expect((columns * rows) / 1e6).toBeCloseTo(1, 2);
  expect(gridPitch({ ...bounds, max: [100, 0, 1] }, 0.01, 1000)).toBeCloseTo(0.1, 12);
  expect(() => gridPitch({ min: [1, 1, 0], max: [1, 1, 0] }, 0, 1000)).toThrow(RangeError);
});

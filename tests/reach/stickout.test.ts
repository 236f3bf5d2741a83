import { expect, test } from 'vitest';
import type { Cutter, HolderPart } from '../../src/cutter/catalogue.js';
import { deflectionRatio, holderUnderside, leastStickout } from '../../src/reach/stickout.js';
import { blockMaxima } from '../../src/reach/grid-queries.js';
import { boundsOf } from '../../src/core/bounds.js';
import { cellBounds } from '../../src/reach/cell-bounds.js';
import { gridWindow } from '../../src/reach/grid-window.js';
import { boxPocket, turned } from '../support/shapes.js';
import { partOf } from './part.js';

const cylinder = (diameterMm: number, lengthMm: number): HolderPart => ({
  diameterMm,
  topDiameterMm: diameterMm,
  lengthMm,
});
const cone = (diameterMm: number, topDiameterMm: number, lengthMm: number): HolderPart => ({
  diameterMm,
  topDiameterMm,
  lengthMm,
});
const cutter = (change: Partial<Cutter>): Cutter => ({
  id: 'test',
  DC: 6,
  RE: 3,
  APMX: 8,
  LU: 30,
  DN: 5.8,
  DMM: 6,
  NOF: 2,
  taperHalfAngleDeg: 0,
  holder: [cylinder(20, 60)],
  wearCostPerMinute: null,
  stages: [],
  placeholder: false,
  ...change,
});

const DEPTH = 25,
  HALF = 15,
  PITCH = 0.1;
/**
 * Block, top at z = 0, with a pocket 30 wide, 50 long and 25 deep; walls at x = -15 and 15 before turning.
 */
const pocket = (turnDeg = 0) => {
  const { mesh } = partOf(
    turned(boxPocket({ width: 2 * HALF, length: 50, depth: DEPTH, land: 15 }), turnDeg),
  );
  const window = gridWindow(boundsOf(mesh.positions), PITCH);
  return blockMaxima(window, cellBounds(mesh, window));
};
const maxima = pocket();
/** Tip on the floor, this far from the wall at x = 15. */
const fromWall = (distance: number): Float64Array => Float64Array.of(HALF - distance, 0, -DEPTH);

// Elementary geometry: a holder wider than its distance from a wall must stay above the wall's upper edge.
test('holder over the wall: the depth of the pocket; holder inside the pocket: what the floor asks', () => {
  const over = leastStickout(cutter({}), maxima, fromWall(3));
  expect(over).toMatchObject({ limitedBy: 'holder', position: 0, exceedsUsable: false, neckTouches: false });
  expect(over.stickoutMm).toBeCloseTo(DEPTH, 6);
  expect(over.lengthToDiameter).toBeCloseTo(DEPTH / 6, 6);
  const inside = leastStickout(cutter({ holder: [cylinder(20, 60)] }), maxima, fromWall(10 + 2 * PITCH));
  expect(inside).toMatchObject({ stickoutMm: 8, limitedBy: 'cutting-edge', position: -1 });
});

test('the worst of many places counts, and only those given', () => {
  const places = Float64Array.of(0, 0, -DEPTH, 12, 3, -DEPTH + 4, 12, 9, -DEPTH + 1, 12, 12, -DEPTH + 2);
  const result = leastStickout(cutter({}), maxima, places);
  expect(result.position).toBe(2);
  expect(result.stickoutMm).toBeCloseTo(DEPTH - 1, 6);
  expect(leastStickout(cutter({}), maxima, places.subarray(0, 3)).position).toBe(-1);
  expect(leastStickout(cutter({}), maxima, new Float64Array(0)).stickoutMm).toBe(8);
});

// A cone from radius r0 to r1 over the length l reaches the wall at distance w at the height l (w - r0)/(r1 -
// r0).
test.each([0, 28])(
  'conical holder, part turned by %d°: stickout shortened by the height at which the cone meets the wall',
  (turnDeg) => {
    const holder = [cone(8, 28, 30), cylinder(40, 50)];
    const angle = (turnDeg * Math.PI) / 180;
    for (const w of [5, 7, 9, 12]) {
      const x = HALF - w;
      const tip = Float64Array.of(x * Math.cos(angle), x * Math.sin(angle), -DEPTH);
      const expected = DEPTH - Math.min(30, (30 * (w - 4)) / 10);
      const { stickoutMm } = leastStickout(
        cutter({ holder, APMX: 1 }),
        turnDeg === 0 ? maxima : pocket(turnDeg),
        tip,
      );
      // Never short; long by at most a cell's diagonal up the cone's flank, 3 mm of height to 1 mm of radius.
      expect(stickoutMm).toBeGreaterThanOrEqual(expected - 1e-6);
      expect(stickoutMm).toBeLessThanOrEqual(expected + 3 * PITCH * Math.SQRT2 + 1e-6);
    }
  },
);

test('clearance keeps air sideways and upwards', () => {
  const { stickoutMm } = leastStickout(cutter({}), maxima, fromWall(3), 1.5);
  expect(stickoutMm).toBeCloseTo(DEPTH + 1.5, 6);
  expect(leastStickout(cutter({}), maxima, fromWall(11), 0.5).limitedBy).toBe('cutting-edge');
  expect(leastStickout(cutter({}), maxima, fromWall(11), 1.2).stickoutMm).toBeCloseTo(DEPTH + 1.2, 6);
});

test('neck and shank: no wider than DC they are free; a thick shank needs LU, a thick neck touches', () => {
  const bare = { holder: [], DC: 2, RE: 1, APMX: 3, LU: 12 };
  expect(leastStickout(cutter({ ...bare, DN: 1.8, DMM: 2 }), maxima, fromWall(1)).stickoutMm).toBe(3);
  const thick = leastStickout(cutter({ ...bare, DN: 1.8, DMM: 6 }), maxima, fromWall(1));
  expect(thick).toMatchObject({ limitedBy: 'shank', exceedsUsable: true, neckTouches: false });
  expect(thick.stickoutMm).toBeCloseTo(DEPTH, 6);
  expect(leastStickout(cutter({ ...bare, LU: 26, DN: 1.8, DMM: 6 }), maxima, fromWall(1)).exceedsUsable).toBe(
    false,
  );
  expect(leastStickout(cutter({ ...bare, DN: 3, DMM: 3 }), maxima, fromWall(1)).neckTouches).toBe(true);
  expect(leastStickout(cutter({ ...bare, DN: 3, DMM: 3 }), maxima, fromWall(5)).neckTouches).toBe(false);
});

// Cantilever with end load, F L³/(3 E I), I = πD⁴/64: at equal D, L/D of 2, 4, 6, 10 against 3.
test.each([
  [2, 0.296],
  [3, 1],
  [4, 2.37],
  [6, 8],
  [10, 37.04],
])('L/D %d deflects %d times as much as 3', (ratio, times) => {
  expect(deflectionRatio(ratio * 8, 8)).toBeCloseTo(times, 2);
});

test('outline of a holder: shadowed parts do not count, radii only grow', () => {
  const underside = holderUnderside([cylinder(10, 5), cone(8, 16, 8), cylinder(6, 4), cylinder(30, 9)]);
  expect([0, 5, 6, 8, 8.1, 15].map(underside)).toEqual([0, 0, 5 + 4, 5 + 8, 17, 17]);
  expect(underside(15.01)).toBe(Infinity);
  expect(holderUnderside([])(1)).toBe(Infinity);
});

test('refusals and abort', () => {
  expect(() => leastStickout(cutter({}), maxima, new Float64Array(4))).toThrow(RangeError);
  expect(() => leastStickout(cutter({}), maxima, fromWall(3), -1)).toThrow(RangeError);
  const signal = AbortSignal.abort(new Error('enough'));
  expect(() => leastStickout(cutter({}), maxima, fromWall(3), 0, { signal })).toThrow('enough');
});

import { expect, test } from 'vitest';
import { closeHeights } from '../support/close-heights.js';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  taperedBallProfile,
  type CutterProfile,
} from '../../src/cutter/cutter-profile.js';
import { cutterKernel } from '../../src/reach/cutter-kernel.js';
import { dilateHeights } from '../../src/reach/dilate.js';
import { naiveClosing, naiveDilation } from './naive-closing.js';
import { seededRandom } from './random.js';

const window = (columns: number, rows: number, pitchMm: number) => ({
  originXMm: -1,
  originYMm: 2,
  pitchMm,
  columns,
  rows,
});

const PROFILES: readonly (readonly [string, CutterProfile])[] = [
  ['ball', ballProfile(3)],
  ['flat', flatProfile(2.5)],
  ['bull-nose', bullNoseProfile(3, 1)],
  ['tapered ball', taperedBallProfile(3, 0.5, (3 * Math.PI) / 180)],
  ['blunt taper', taperedBallProfile(3, 0.75, Math.PI / 6)],
];

/**
 * Terrains with what upsets the neighbour test: ties, walls, holes, noise, slopes as steep as the cutter's.
 */
const TERRAINS: Readonly<Record<string, (x: number, y: number, random: number) => number>> = {
  noise: (_x, _y, random) => 10 * random,
  level: () => 7.25,
  'round steps': (x, y) => Math.round(Math.sin(x / 2) * 2) + Math.round(Math.cos(y / 3)),
  'smooth hills': (x, y) => 3 * Math.sin(x / 3) + 2 * Math.cos(y / 2 + x / 5),
  'tilted plane': (x, y) => 0.7 * x - 1.3 * y,
  'plane as steep as the taper': (x) => x * Math.sqrt(3),
  'pocket off the grid angle': (x, y) => (Math.abs(0.8 * x + 0.6 * y - 8) < 3.1 ? 0 : 12),
  'islands in nothing': (x, y, random) =>
    Math.sin(x) * Math.sin(y) > 0.3 ? 4 * random : random < 0.02 ? -20 * random : -Infinity,
  'plate with ragged border': (x, y) => (x * x + 2 * y * y < 150 ? Math.floor(x) % 3 : -Infinity),
};

const terrain = (name: string, columns: number, rows: number, pitch: number, seed: number): Float64Array => {
  const random = seededRandom(seed);
  return Float64Array.from(
    { length: columns * rows },
    (_, k) => TERRAINS[name]((k % columns) * pitch, Math.floor(k / columns) * pitch, random()) + 0,
  );
};

for (const [name, profile] of PROFILES) {
  test.each(Object.keys(TERRAINS))(`${name} on %s: equal to trying every tap (seed 7)`, (ground) => {
    for (const [columns, rows, pitch] of [
      [41, 29, 0.4],
      [23, 57, 0.31],
      [40, 40, 1],
      [9, 3, 0.25],
      [1, 30, 0.5],
    ]) {
      const heights = terrain(ground, columns, rows, pitch, 7);
      const tips = dilateHeights(
        heights,
        columns,
        rows,
        cutterKernel(profile, pitch),
        new Float64Array(heights.length),
      );
      expect(tips).toEqual(naiveDilation(heights, columns, rows, profile, pitch));
      const { cleared } = closeHeights(window(columns, rows, pitch), heights, profile);
      expect(cleared).toEqual(naiveClosing(heights, columns, rows, profile, pitch));
    }
  });
}

test('far from the origin: still equal (heights near 1e4)', () => {
  const heights = terrain('smooth hills', 40, 40, 0.3, 1).map((z) => z + 1e4);
  const { cleared } = closeHeights(window(40, 40, 0.3), heights, ballProfile(3));
  expect(cleared).toEqual(naiveClosing(heights, 40, 40, ballProfile(3), 0.3));
});

// Closing is extensive, increasing and idempotent, and does nothing to what the cutter itself has cut
// (Serra 1982, "Image Analysis and Mathematical Morphology", chapter on closings; from memory).
test.each(PROFILES)('%s: closing is never below, and closing twice changes nothing', (_, profile) => {
  const heights = terrain('noise', 50, 40, 0.3, 3);
  const once = closeHeights(window(50, 40, 0.3), heights, profile).cleared;
  expect(once.every((z, k) => z >= heights[k] - 1e-12)).toBe(true);
  const twice = closeHeights(window(50, 40, 0.3), once, profile).cleared;
  expect(twice.every((z, k) => Math.abs(z - once[k]) < 1e-12)).toBe(true);
});

test('nothing at all stays nothing, a cutter smaller than the pitch changes nothing', () => {
  const nothing = new Float64Array(30).fill(-Infinity);
  expect(closeHeights(window(6, 5, 1), nothing, ballProfile(2)).cleared).toEqual(nothing);
  const noise = terrain('islands in nothing', 12, 10, 1, 5);
  expect(closeHeights(window(12, 10, 1), noise, ballProfile(0.9)).cleared).toEqual(noise);
});

test('an abort stops it, progress runs from 0 towards 1', () => {
  const heights = terrain('smooth hills', 40, 200, 0.3, 1);
  const seen: number[] = [];
  closeHeights(window(40, 200, 0.3), heights, ballProfile(3), {
    progress: (_, fraction) => seen.push(fraction),
  });
  expect(seen[0]).toBe(0);
  expect(seen.every((fraction, k) => fraction < 1 && (k === 0 || fraction >= seen[k - 1]))).toBe(true);
  const signal = AbortSignal.abort(new Error('enough'));
  expect(() => closeHeights(window(40, 200, 0.3), heights, ballProfile(3), { signal })).toThrow('enough');
});

test('refuses arrays that do not fit', () => {
  const kernel = cutterKernel(ballProfile(1), 0.5);
  expect(() => dilateHeights(new Float64Array(5), 2, 3, kernel, new Float64Array(6))).toThrow(RangeError);
  expect(() => dilateHeights(new Float64Array(6), 2, 3, kernel, new Float64Array(5))).toThrow(RangeError);
  expect(() => closeHeights(window(2, 3, 1), new Float64Array(5), ballProfile(1))).toThrow(RangeError);
  expect(() => cutterKernel(ballProfile(1), 0)).toThrow(RangeError);
  expect(() => cutterKernel(ballProfile(1000), 0.1)).toThrow(RangeError);
});

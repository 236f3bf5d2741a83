/** The brute force itself against closed forms and dense sampling, and a small part of `npm run verify`. */
import { describe, expect, test } from 'vitest';
import * as shapes from '../support/shapes.js';
import { heightBlock } from '../support/shapes/height-block.js';
import { binaryStl } from '../support/stl.js';
import { restSection, within } from '../support/strip-forms.js';
import { chordAllowances } from './chord-allowances.js';
import { buildFacets, stlCorners } from './facets.js';
import { lowestCentre } from './lowest-centre.js';
import { restVolume } from './rest-volumes.js';
import { samplePoints } from './sample-points.js';
import { unreachedAreas } from './unreached-areas.js';
import { verifyPart } from './verify-part.js';

const { PI, abs, cos, max, sqrt } = Math;
const SEED = 4021;

test(`a ball let down rests as on 40 000 points of the part, seed ${SEED}`, () => {
  const random = shapes.randomNumbers(SEED);
  const corners = shapes.turned(shapes.roundPocket({ segments: 40, filletFacets: 5, side: 44 }), 17.3);
  const facets = buildFacets(corners);
  const { points } = samplePoints(corners, 40_000, random);
  for (let k = 0; k < 40; k++) {
    const [x, y, radius] = [50 * (random() - 0.5), 50 * (random() - 0.5), 1 + 4 * random()];
    let highest = -Infinity;
    for (let i = 0; i < points.length; i += 3) {
      const under = radius * radius - (points[i] - x) ** 2 - (points[i + 1] - y) ** 2;
      if (under > 0) highest = max(highest, points[i + 2] + sqrt(under));
    }
    const height = lowestCentre(facets, x, y, radius);
    if (highest === -Infinity) continue;
    // Points are 0.4 mm apart: never above the exact height, nor far below but where the shaft grazes a wall.
    expect(height).toBeGreaterThan(highest - 1e-4);
    if (sqrt(x * x + y * y) < 20 - radius - 0.5) expect(height - highest).toBeLessThan(0.06);
  }
});

test('points are spread evenly: each half of the surface gets its share', () => {
  const { areaMm2, points } = samplePoints(shapes.box(3, 5, 7), 1000, shapes.randomNumbers(SEED));
  expect(areaMm2).toBeCloseTo(142, 9);
  const upper = points.filter((z, i) => i % 3 === 2 && z > 3.5).length;
  expect(abs(upper - 500)).toBeLessThanOrEqual(12);
});

// Chords of a circle of radius r in n sides stand out by r (1 - cos(pi / n)); a sharp box has none.
// Of each mm along x the first tenth lies in facets a hundredth wide, beside large ones.
test('small facets among large ones get no more points than their area', () => {
  const ys = Array.from({ length: 11 }, (_, i) => i);
  const xs = ys.slice(0, 10).flatMap((x) => Array.from({ length: 11 }, (_, i) => x + i / 100));
  const corners = heightBlock([...xs, 10], ys, () => 1);
  const random = shapes.randomNumbers(SEED);
  let [small, level] = [0, 0];
  for (let round = 0; round < 40; round++) {
    const { points } = samplePoints(corners, 300, random);
    for (let i = 0; i < points.length; i += 3) {
      if (points[i + 2] > 0 && points[i + 2] < 1) continue;
      level++;
      if (points[i] % 1 < 0.1) small++;
    }
  }
  // 10 000 points in strata: a standard deviation of less than 0.003.
  expect(abs(small / level - 0.1)).toBeLessThan(0.01);
});

test('chord allowances: those of a bore and of its rims, none of a box or of the plane about the bore', () => {
  const round = 5 * (1 - cos(PI / 48));
  const allowed = chordAllowances(shapes.bore(5, 12, 48, true));
  const isRound = [...allowed].map((value) => {
    expect(value === 0 || abs(value / round - 1) < 1e-3).toBe(true);
    return value > 0;
  });
  // Two facets a chord, all their edges, and the rims once more as edges of the planes.
  expect(isRound.filter((yes, i) => yes && i % 4 === 0).length).toBe(2 * 48);
  expect(isRound.filter((yes, i) => yes && i % 4 > 0).length).toBe(3 * 2 * 48 + 2 * 48);
  expect(max(...chordAllowances(shapes.box(3, 5, 7)))).toBe(0);
});

// Of chords no ball of the bore's own radius gets between; with what they stand out it goes right down.
test('a ball of its own radius goes down a facetted bore only where chords are allowed for', () => {
  const corners = shapes.bore(5, 12, 48);
  expect(lowestCentre(buildFacets(corners), 0, 0, 5)).toBeGreaterThan(0);
  expect(lowestCentre(buildFacets(corners, chordAllowances(corners)), 0, 0, 5)).toBeCloseTo(-7, 3);
});

describe('sharp pocket as wide as the cutter', () => {
  const [width, length, depth, radius, t] = [6, 18, 8, 3, 0.02];
  const corners = stlCorners(
    binaryStl(shapes.turned(shapes.boxPocket({ width, length, depth, land: 4 }), 12)),
  );
  const facets = buildFacets(corners);
  const inside = new Float64Array(
    [...Array(corners.length / 9).keys()]
      .map((f) => corners.subarray(9 * f, 9 * f + 9))
      .filter((c) => [0, 3, 6].every((k) => c[k] ** 2 + c[k + 1] ** 2 < 9.6 ** 2))
      .flatMap((c) => [...c]),
  );

  // Strips of d along all inner edges, as in reach/recipes.test.ts.
  test(`unreached area within its interval, seed ${SEED}`, () => {
    const sample = samplePoints(inside, 1200, shapes.randomNumbers(SEED));
    expect(sample.areaMm2).toBeCloseTo(width * length + 2 * depth * (width + length), 3);
    const d = radius - within(radius, t);
    const floor = width * length - (width - 2 * d) * (length - 2 * d);
    const walls = [width, length].reduce(
      (sum, side) => sum + 2 * (side * depth - (side - 2 * d) * (depth - d)),
      0,
    );
    const [{ areaMm2, intervalMm2, openMm2 }] = unreachedAreas(facets, sample, [radius], t);
    expect(abs(areaMm2 - (floor + walls))).toBeLessThan(intervalMm2 + openMm2);
    expect(intervalMm2).toBeLessThan(0.03 * areaMm2);
  });

  // Along two floor edges the section R² (1 - pi / 4); four corners each (1 - pi / 6) R³ (LITERATURE.md, 5.3), and
  // above them the same section up the corners. The pocket's short sides take up the corners' cubes.
  test(`rest volume within its interval, seed ${SEED}`, () => {
    const sample = samplePoints(inside, 1000, shapes.randomNumbers(SEED));
    const section = restSection(radius, PI / 2);
    const expected = section * (2 * (length - width) + 4 * (depth - radius)) + 4 * radius ** 3 * (1 - PI / 6);
    const { volumeMm3, intervalMm3 } = restVolume(facets, sample, radius, 250, shapes.randomNumbers(SEED));
    expect(abs(volumeMm3 - expected)).toBeLessThan(intervalMm3);
    expect(intervalMm3).toBeLessThan(0.2 * expected);
  });
});

// A drafted pocket with round corners.
test('the survey of a pocket plate agrees at two radii', async () => {
  const ring = (inwards: number, z: number): shapes.RoundedRing => ({
    halfX: 6 - inwards,
    halfY: 9 - inwards,
    radius: 3 - inwards,
    z,
  });
  const corners = shapes.pocketPlate({
    tileX: 20,
    tileY: 26,
    bottomZ: -10,
    tiles: [[{ facets: 8, rings: [ring(0, 0), ring(0.4, -5)] }]],
  });
  const verified = await verifyPart(binaryStl(shapes.turned(corners, 21)), 'pocket.stl', {
    points: 800,
    columns: 120,
    options: { radiiMm: [1, 2], cutters: { version: 1, cutters: [1, 2].map(ball) } },
  });
  expect(verified.map(({ radiusMm }) => radiusMm)).toEqual([1, 2]);
  for (const { radiusMm, unreached, rest } of verified) {
    expect(unreached.flat, `R ${radiusMm}`).toBeGreaterThan((10 * unreached.interval) / 3);
    expect(unreached, `R ${radiusMm}`).toMatchObject({ agrees: true });
    expect(rest, `R ${radiusMm}`).toMatchObject({ agrees: true });
  }
});

const ball = (radius: number) => ({
  id: `R${radius}`,
  DC: 2 * radius,
  RE: radius,
  APMX: 2 * radius,
  LU: 40,
  NOF: 2,
});

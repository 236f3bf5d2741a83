import { describe, expect, test } from 'vitest';
import type { Cutter } from '../../src/cutter/catalogue.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import { DEFAULT_ROUGHERS } from '../../src/cutter/default-roughers.js';
import { boundsOf } from '../../src/core/bounds.js';
import { perCorner, perFace } from '../../src/core/array-types.js';
import type { Surface } from '../../src/part/types.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { boxAbout } from '../../src/stages/block.js';
import { rougherOf } from '../../src/stages/rough-move.js';
import { stockField, volumeBetween } from '../../src/stages/stock-field.js';
import { facetPieces } from '../../src/survey/cut-pieces.js';
import { nextMinutes } from '../../src/survey/next-stages.js';
import { stageWalk, type EarlyStage, type SurfaceWork } from '../../src/survey/stage-walk.js';
import { readyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const SETUP = { ...SETUP_DEFAULTS, semiStockMm: 0.1, stockMm: 0 },
  STOCK = 0.5;
const [BULL] = DEFAULT_ROUGHERS.filter(({ DC }) => DC === 12);
const ball = (R: number): Cutter => ({ ...DEFAULT_CATALOGUE[0], id: `ball-${2 * R}`, DC: 2 * R, RE: R });
const WORK: SurfaceWork = {
  stepoverMm: 1,
  stepdownMm: 1,
  feedMmPerMin: 1,
  areaMm2: 1,
  minutes: 1,
  blendShare: null,
  stickout: {
    stickoutMm: 0,
    limitedBy: 'holder',
    position: -1,
    exceedsUsable: false,
    neckTouches: false,
    lengthToDiameter: 0,
    deflectionRatio: 0,
  },
};

/** Two sharp pockets side by side in their block, and the facets of them that lie somewhere in x. */
function twoPockets(depth: number, sideMm: number) {
  const one = shapes.boxPocket({ width: 26, length: 22, depth, land: 5 });
  const { mesh, topology, normals } = readyPart(shapes.joined(one, shapes.moved(one, [36, 0, 0])));
  const faces = mesh.triangles.length / 3,
    surface: Surface = {
      mesh,
      topology,
      normals: perCorner(normals),
      parent: perFace(new Int32Array(faces)),
    };
  const field = stockField({
    mesh,
    block: boxAbout(boundsOf(mesh.positions), { topMm: 0, sideMm }),
    nodes: 90_000,
    marginMm: 7,
    isWork: null,
    where: 'block',
  });
  const facets = (isIn: (x: number) => boolean): readonly number[] =>
    Array.from({ length: faces }, (_, f) => f).filter((f) => {
      const corners = [0, 1, 2].map((k) => 3 * mesh.triangles[3 * f + k]);
      const isPocket = corners.some(
        (p) => mesh.positions[p + 2] < -1e-6 && mesh.positions[p + 2] > -depth - 1,
      );
      return isPocket && corners.every((p) => isIn(mesh.positions[p]));
    });
  return { surface, field, facets };
}

/** Those, roughed: balls then follow in them. @param runs each a ball and where in x it runs */
function walked(
  depth: number,
  sideMm: number,
  runs: readonly { readonly R: number; readonly isIn: (x: number) => boolean }[],
): readonly EarlyStage[] {
  const { surface, field, facets } = twoPockets(depth, sideMm);
  const walk = stageWalk(field, SETUP);
  walk.rough(rougherOf(BULL, SETUP), STOCK, 0, () => true);
  for (const { R, isIn } of runs)
    walk.follow('semi-corners', ball(R), SETUP.semiStockMm, facetPieces(surface, facets(isIn)), () => WORK);
  return walk.stages;
}

const everywhere = () => true,
  first = (x: number) => x < 18;

// In plan a cutter leaves a square of side R less its quarter disc in an upright corner, (1 - π/4) R². Of two depths
// the deeper pocket has so much more of it; its foot is the same. Along straight walls, 192 mm, the lattice of 0.16 mm is
// off by up to a tenth of its pitch.
describe.each([
  [6, 2],
  [5, 2],
  [4, 1],
])('a ball of R %d, then of R %d', (R, r) => {
  const [low, high] = [8, 16].map((depth) =>
    walked(depth, 0, [
      { R, isIn: everywhere },
      { R: r, isIn: everywhere },
    ]),
  );
  const column = (1 - Math.PI / 4) * (R * R - r * r);

  test('takes (1 - π/4) (R² - r²) of each upright corner, from what the larger one left', () => {
    const taken = high[2].volumeMm3! - low[2].volumeMm3!;
    expect(Math.abs(taken / (8 * column * 8) - 1), `${taken}`).toBeLessThan(0.1);
    expect(high[1].leftMm3! - high[2].volumeMm3!).toBeCloseTo(high[2].leftMm3!, 3);
    // Between two balls that touch the three planes of a corner: nothing is thicker.
    expect(high[2].meets!.greatestMm).toBeLessThan((Math.sqrt(3) - 1) * (R - r) + 0.2);
  });

  test('in one of two pockets it takes half of that, and the other stays as it is', () => {
    const [, , half] = walked(16, 0, [
      { R, isIn: everywhere },
      { R: r, isIn: first },
    ]);
    expect(Math.abs(half.volumeMm3! / high[2].volumeMm3! - 0.5)).toBeLessThan(0.02);
    expect(half.leftMm3!).toBeCloseTo(high[1].leftMm3! - half.volumeMm3!, 3);
    expect(half.meets!.overAreaMm2 / high[2].meets!.overAreaMm2).toBeCloseTo(0.5, 1);
  });

  test('stock beside the part, where it does not run, is not its own', () => {
    const [, beside] = walked(16, 2, [{ R, isIn: everywhere }]);
    expect(Math.abs(beside.volumeMm3! / high[1].volumeMm3! - 1)).toBeLessThan(0.12);
    // The rougher left that all round, as high as the part.
    const strip = 2 * (72 + 32) * STOCK * 26;
    expect(beside.leftMm3! - high[1].leftMm3!).toBeGreaterThan(0.8 * strip);
  });

  // The larger at 2 mm³/min and the smaller at 1: beyond the rate of the larger, minutes are half the corners' volume.
  test('minutes of what follows roughing are those of the cutter that gets into each place', () => {
    const [low, high] = [8, 16].map((depth) => {
      const { surface, field, facets } = twoPockets(depth, 0);
      const where = (isIn: (x: number) => boolean) => {
        const own = Uint32Array.from(facets(isIn));
        return { facets: own, touched: facetPieces(surface, own) };
      };
      const next = [
        { cutter: ball(R), ...where(everywhere), rateMm3PerMin: 2 },
        { cutter: ball(r), ...where(first), rateMm3PerMin: 1 },
      ];
      const minutes = nextMinutes(field, next, SETUP);
      expect(minutes(field.part, field.part)).toBe(0);
      return minutes(field.block, field.part) - volumeBetween(field, field.block, field.part) / 2;
    });
    // In the corners it takes a minute for each mm³, not half of one.
    expect(Math.abs((high - low) / (4 * column * 8 * (1 - 1 / 2)) - 1)).toBeLessThan(0.1);
  });
});

/** Share of a triangle on which a linear function, given at its corners, is below a level. */
function shareBelow(level: number, corners: readonly number[]): number {
  const [a, b, c] = [...corners].sort((x, y) => x - y);
  if (level <= a || level >= c) return level <= a ? 0 : 1;
  return level < b ? (level - a) ** 2 / ((b - a) * (c - a)) : 1 - (c - level) ** 2 / ((c - a) * (c - b));
}

/**
 * The walls of the first pocket from its top down to some depth, in a grid, and of its facets the share that lies
 * within a strip along the upright corners.
 */
function cornerStrips(depth: number, columns: number, rows: number, widthMm: number) {
  const corners = [
    [-13, -11],
    [13, -11],
    [13, 11],
    [-13, 11],
  ];
  const positions: number[] = [],
    normals: number[] = [],
    off: number[] = [];
  corners.forEach(([x0, y0], side) => {
    const [x1, y1] = corners[(side + 1) % 4],
      length = Math.abs(x1 - x0 + y1 - y0),
      inwards = [(y0 - y1) / length, (x1 - x0) / length, 0];
    const vertex = (i: number, j: number): void => {
      positions.push(x0 + ((x1 - x0) * i) / columns, y0 + ((y1 - y0) * i) / columns, (-depth * j) / rows);
      normals.push(...inwards);
      off.push((Math.min(i, columns - i) * length) / columns);
    };
    for (let i = 0; i < columns; i++)
      for (let j = 0; j < rows; j++)
        for (const [a, b] of [
          [i, j],
          [i, j + 1],
          [i + 1, j + 1],
          [i, j],
          [i + 1, j + 1],
          [i + 1, j],
        ])
          vertex(a, b);
  });
  const mesh = { positions: Float64Array.from(positions), triangles: Uint32Array.from(off.keys()) };
  const shareOf = (f: number): number => shareBelow(widthMm, off.slice(3 * f, 3 * f + 3));
  const facets = [...Array(off.length / 3).keys()].filter((f) => shareOf(f) > 0);
  const surface = { mesh, normals: perCorner(Float64Array.from(normals)) };
  return facetPieces(surface, facets, shareOf, (v) => off[v] < widthMm);
}

// Strips as wide as the larger ball along the upper part of upright corners, in facets from 9 mm down to 0.4: what is
// taken grows by (1 - π/4) (R² - r²) of each corner with their depth, whatever is left further down.
describe.each([
  [6, 2],
  [5, 1],
])('a ball of R %d, then one of R %d on strips of facets along the corners', (R, r) => {
  const { surface, field, facets } = twoPockets(16, 0);
  const walkTo = (depth: number, columns: number, rows: number, isFirst = false): EarlyStage => {
    const walk = stageWalk(field, SETUP);
    walk.rough(rougherOf(BULL, SETUP), STOCK, 0, () => true);
    const all = facetPieces(surface, isFirst ? [] : facets(everywhere));
    walk.follow('semi-finish', ball(R), SETUP.semiStockMm, all, () => WORK);
    const strips = cornerStrips(depth, columns, rows, R);
    walk.follow('semi-corners', ball(r), SETUP.semiStockMm, strips, () => WORK);
    return walk.stages[2];
  };
  test.each([
    [3, 1],
    [3, 5],
    [8, 4],
  ])('of what the rougher left, %d by %d to a wall, as much as in fine ones', (columns, rows) => {
    const fine = walkTo(10, 60, 25, true).volumeMm3!;
    expect(fine).toBeGreaterThan(0);
    expectNear(walkTo(10, columns, rows, true).volumeMm3!, fine, 0.01);
  });
  // Of the strips of straight wall beside a corner the lattice makes up to half a pitch, 0.08 mm.
  test('(1 - π/4) (R² - r²) of each corner', () => {
    const [low, high] = [4, 10].map((depth) => walkTo(depth, 60, 25));
    const column = (1 - Math.PI / 4) * (R * R - r * r);
    expectNear(high.volumeMm3! - low.volumeMm3!, 4 * 6 * column, 0.12);
    expect(high.meets!.greatestMm).toBeLessThan((Math.SQRT2 - 1) * (R - r) + 0.2);
  });
});

function expectNear(found: number, expected: number, share: number): void {
  expect(Math.abs(found / expected - 1), `${found}, expected ${expected}`).toBeLessThan(share);
}

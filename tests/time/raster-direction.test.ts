import { expect, test } from 'vitest';
import type { FinishingSurface } from '../../src/time/finishing-surface.js';
import { PLACEHOLDER_MACHINE, type Machine } from '../../src/time/machine.js';
import { passExtents, passPieces, rasterPieces, regionBorders } from '../../src/time/pass-pieces.js';
import { rasterDirections } from '../../src/time/raster-direction.js';
import { gridMesh, steps } from '../support/labelled-mesh.js';

// A comb, level: a spine 10 x 50, ten gaps 4 wide and 50 long between nine ribs 1 wide, which are not cut.
// Teeth along Y.
const TEETH = 10,
  GAP = 4,
  LONG = 50,
  SPINE = 10,
  WIDE = 49;
const grid = gridMesh(steps(WIDE), steps(LONG + SPINE));
const isRib = (x: number, y: number): boolean => y > SPINE && x % (GAP + 1) > GAP;
const regionOf = Int32Array.from({ length: grid.mesh.triangles.length / 3 }, (_, f) => {
  const cell = f >> 1;
  return isRib((cell % WIDE) + 0.5, Math.floor(cell / WIDE) + 0.5) ? -1 : 0;
});
const areas = new Float64Array(regionOf.length).fill(0.5);
const surface: FinishingSurface = {
  areas,
  classOf: new Uint8Array(regionOf.length),
  normals: Float64Array.from({ length: 3 * regionOf.length }, (_, i) => (i % 3 === 2 ? 1 : 0)),
};
const machine: Machine = {
  ...PLACEHOLDER_MACHINE,
  accelerationMmPerS2: 2000,
  jerkMmPerS3: null,
  clearanceMm: 5,
  approachMm: 2,
};
const STEP = 0.25,
  FEED = 3000;
const input = {
  surface,
  regionOf,
  regions: 1,
  cutter: { DC: 6, RE: 3 },
  machine,
  feedMmPerMin: FEED,
  steps: { kind: 'fixed', stepdownMm: 1, stepoverMm: STEP } as const,
};

/**
 * Rest to rest at constant acceleration: L / v + v / a, or 2 sqrt(L / a) where v is not come to (any
 * textbook).
 */
const seconds = (lengthMm: number, feed: number): number => {
  const v = feed / 60,
    a = machine.accelerationMmPerS2;
  return lengthMm >= (v * v) / a ? lengthMm / v + v / a : 2 * Math.sqrt(lengthMm / a);
};
const AREA = WIDE * SPINE + TEETH * GAP * LONG;
const AIR =
  2 * seconds(machine.clearanceMm, machine.rapidMmPerMin) +
  seconds(Math.sqrt(AREA) / 2, machine.rapidMmPerMin) +
  seconds(machine.approachMm, machine.approachFeedMmPerMin);

/**
 * Closed form: so many passes fall into so many pieces; links are one step long; the rest are moves through
 * the air.
 */
function minutes(passes: number, pieces: number): number {
  const path = AREA / STEP,
    links = passes - 1;
  return (pieces * seconds(path / pieces, FEED) + links * seconds(STEP, FEED) + (pieces - links) * AIR) / 60;
}
// Along the teeth each pass is one cut; across them each pass beyond the spine falls into ten.
const ALONG = minutes(WIDE / STEP, WIDE / STEP);
const ACROSS = minutes((LONG + SPINE) / STEP, (SPINE + TEETH * LONG) / STEP);

test('a comb of parallel ribs: minutes of both directions are the closed forms', () => {
  const at = (deg: number): number =>
    rasterDirections({ ...input, where: grid, feedsRad: [(deg * Math.PI) / 180] }).overall.minutes;
  expect(at(90) / ALONG).toBeCloseTo(1, 9);
  expect(at(0) / ACROSS).toBeCloseTo(1, 9);
  expect(ACROSS).toBeGreaterThan(5 * ALONG);
});

test('passes run along the ribs, overall and in the region; the cutting alone would not tell', () => {
  const { overall, byRegion } = rasterDirections({ ...input, where: grid });
  expect((overall.feedRad * 180) / Math.PI).toBeCloseTo(90, 9);
  expect((byRegion[0].feedRad * 180) / Math.PI).toBeCloseTo(90, 9);
  expect(byRegion[0].minutes / ALONG).toBeCloseTo(1, 9);
  const cuttingOnly = rasterDirections(input);
  expect(cuttingOnly.overall.feedRad).toBe(0);
  expect(cuttingOnly.overall.minutes).toBeCloseTo(AREA / STEP / FEED, 9);
});

test('regions that hang together are one overall, and two by themselves', () => {
  const halves = regionOf.map((region, f) => (region < 0 ? -1 : Math.floor((f >> 1) / WIDE) < SPINE ? 0 : 1));
  const { overall, byRegion } = rasterDirections({ ...input, regionOf: halves, regions: 2, where: grid });
  expect(overall.minutes / ALONG).toBeCloseTo(1, 9);
  // The spine alone is longest along X, the teeth along Y.
  expect(byRegion.map(({ feedRad }) => Math.round((feedRad * 180) / Math.PI))).toEqual([0, 90]);
});

test('pieces from the borders alone are those from the mesh, whichever way', () => {
  // Only what lies below a slanting line: a comb that is no mirror image of itself.
  const slanted = regionOf.map((region, f) =>
    ((f >> 1) % WIDE) + 2 * Math.floor((f >> 1) / WIDE) > 90 ? -1 : region,
  );
  const where = { ...grid, regionOf: slanted, count: 1 };
  const borders = regionBorders(where),
    widths: number[] = [];
  for (const feedRad of [0, 0.3, 0.9, Math.PI / 2, 2.2, 2.7]) {
    const mesh = passPieces(passExtents(where, { kind: 'raster', feedRad }), STEP),
      own = rasterPieces(borders, feedRad, STEP);
    expect(own.passes[0]).toBeCloseTo(mesh.passes[0], 6);
    expect(own.pieces[0]).toBeCloseTo(mesh.pieces[0], 6);
    widths.push(own.passes[0] * STEP);
  }
  // Across the slanting line it is narrower than along it.
  expect(widths[4]).not.toBeCloseTo(widths[2], 0);
});

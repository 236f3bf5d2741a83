import { describe, expect, test } from 'vitest';
import { compensatedSum } from '../../src/core/sum.js';
import { inlineEngine } from '../../src/reach/reach-engine.js';
import { cornersByVertex, reachedVertices } from '../../src/reach/reached-vertices.js';
import { reachProbe } from '../../src/reach/reach-probe.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { loadClipper } from '../../src/outlines/clipper.js';
import { ringArea } from '../../src/outlines/ring-measures.js';
import { ringsOfRegion, traceRings } from '../../src/outlines/trace-rings.js';
import { ballProfile, flatProfile, type CutterProfile } from '../../src/cutter/cutter-profile.js';
import { restWork, type LadderCutter, type RestWork } from '../../src/survey/rest-work.js';
import { expectGoodRings } from '../support/check-rings.js';
import { FINISHING_ALONE, reachOf, surveyShape } from '../support/pipeline.js';
import { steps } from '../support/labelled-mesh.js';
import * as shapes from '../support/shapes.js';
import { heightBlock } from '../support/shapes/height-block.js';

const { PI, abs, asin, cos, sin, sqrt, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;
const TOLERANCE = 0.002,
  BLEND = 0.03;

/** Strip beside two planes that is reached within the tolerance all the same: see reach.test.ts. */
const within = (radius: number): number => sqrt(2 * radius * TOLERANCE + TOLERANCE * TOLERANCE);
/** Unreached strip on each of two planes, turning angle φ: d = R tan(φ / 2), less that. */
const strip = (radius: number, turningDeg: number): number =>
  radius * tan(rad(turningDeg / 2)) - within(radius);

const expectShare = (found: number | null, expected: number, share: number): void => {
  expect(abs((found ?? NaN) - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(
    share * abs(expected),
  );
};

/** What the last of some cutters must clean after the others. Balls are given by their radius. */
async function workOf(
  corners: Float64Array,
  ladder: readonly (number | CutterProfile)[],
  blendShare = BLEND,
): Promise<RestWork> {
  const radii = ladder.filter((one): one is number => typeof one === 'number').sort((a, b) => a - b);
  const { part, reach } = await reachOf(corners, radii, TOLERANCE);
  const engine = inlineEngine({ ...part, limits: { toleranceMm: TOLERANCE, slackMm: 0.01 * TOLERANCE } });
  const { surface, labels } = reach;
  const questions = { surface, labels, at: cornersByVertex(surface.mesh), part: part.smooth };
  const found: LadderCutter[] = [];
  for (const one of ladder) {
    if (typeof one === 'number') {
      const index = radii.indexOf(one);
      found.push({ profile: ballProfile(one), counts: reach.counts, index });
    } else {
      const vertices = [...new Uint32Array(surface.mesh.positions.length / 3).keys()];
      const radii = await reachedVertices(vertices, questions, reachProbe(engine, one), {});
      const counts = Uint8Array.from(radii, (radius) => (radius === Infinity ? 1 : 0));
      found.push({ profile: one, counts, index: 0 });
    }
  }
  const own = found.pop();
  if (!own) throw new Error('no cutter');
  const input = { ...reach, part: part.smooth, engine, stockMm: 0, blendShare, toleranceMm: TOLERANCE };
  return restWork(found, own, input, {});
}

describe('a sharp corner of two planes', () => {
  const LENGTH = 16;
  // Strips of the larger ball, taken larger, less those of the smaller one.
  test.each([
    [90, 3, 1.5],
    [60, 5, 2],
    [120, 3, 2],
  ])('turning %d degrees, R %d then R %d', async (turningDeg, before, own) => {
    const corners = shapes.turned(shapes.vGroove({ turningDeg, arm: 14, length: LENGTH }), 23.7);
    const work = await workOf(corners, [before, own]);
    const width = strip((1 + BLEND) * before, turningDeg) - strip(own, turningDeg);
    expectShare(work.areaMm2, 2 * LENGTH * width, 0.02);
    expect(work.patches.length).toBe(1);
    // One strip on each flank, told by the way that it faces.
    const { areas, normals } = facetNormals(work.surface.mesh);
    const across = [cos(rad(23.7)), sin(rad(23.7))];
    for (const side of [-1, 1]) {
      const isOn = (f: number): boolean =>
        side * (across[0] * normals[3 * f] + across[1] * normals[3 * f + 1]) > 0;
      const strips = areas.filter((_, f) => work.patchOf[f] === 0 && isOn(f));
      expectShare(compensatedSum(strips), LENGTH * width, 0.02);
    }
    // A point x from the edge stands sqrt((d - x)² + R²) - R from the ball in the corner, x at the smaller
    // ball's border. In a valley that deep the smaller ball leans out over the open ends, and gets further in
    // there.
    const off = before * tan(rad(turningDeg / 2)) - strip(own, turningDeg);
    if (turningDeg <= 90) expectShare(work.greatestMm, sqrt(off * off + before * before) - before, 0.02);
  });

  test('no blend: the strips of the balls themselves', async () => {
    const corners = shapes.turned(shapes.vGroove({ turningDeg: 90, arm: 14, length: LENGTH }), 23.7);
    const { areaMm2 } = await workOf(corners, [3, 1.5], 0);
    expectShare(areaMm2, 2 * LENGTH * (strip(3, 90) - strip(1.5, 90)), 0.02);
  });

  test('three balls: the last cleans after the second alone', async () => {
    const corners = shapes.turned(shapes.vGroove({ turningDeg: 90, arm: 14, length: LENGTH }), 23.7);
    const { areaMm2 } = await workOf(corners, [4, 3, 1.5]);
    expectShare(areaMm2, 2 * LENGTH * (strip((1 + BLEND) * 3, 90) - strip(1.5, 90)), 0.02);
  });
});

describe('a fillet between two planes', () => {
  const LENGTH = 8;
  const groove = (turningDeg: number, fillet: number): Float64Array =>
    shapes.turned(shapes.vGroove({ turningDeg, arm: 10, length: LENGTH, fillet, filletFacets: 48 }), 31.9);

  // Section ρ φ + 2 (R - ρ) tan(φ/2), R taken larger; gap (R - ρ)(1 / cos(φ/2) - 1).
  test.each([
    [90, 3, 2],
    [60, 4, 1.5],
  ])('turning %d, R %d leaves a fillet of %d to a ball of its size', async (turningDeg, before, fillet) => {
    const work = await workOf(groove(turningDeg, fillet), [before, fillet]);
    const half = rad(turningDeg / 2),
      larger = (1 + BLEND) * before;
    const section = 2 * fillet * half + 2 * ((larger - fillet) * tan(half) - within(larger));
    expectShare(work.areaMm2, LENGTH * section, 0.02);
    expect(work.patches.length).toBe(1);
    expectShare(work.greatestMm, (before - fillet) * (1 / cos(half) - 1), 0.03);
  });

  test('a fillet that the cutter before reaches is not cleaned again, though a larger one would not reach it', async () => {
    const work = await workOf(groove(90, 3), [3, 1.5]);
    expect([work.areaMm2, work.volumeMm3, work.patches.length]).toEqual([0, 0, 0]);
  });
});

// The ball of 3 sinks s = R - sqrt(R² - W²/4) into the slot; that of 1.5 leaves strips along the bottom's
// edges.
test('a slot too narrow for the cutter before: walls and floor, without the strips of the next one', async () => {
  const [width, depth, length] = [4, 6, 30];
  const work = await workOf(shapes.turned(shapes.throughSlot(width, depth, length), 5.1), [3, 1.5]);
  const left = strip(1.5, 90);
  expectShare(work.areaMm2, length * (width + 2 * depth - 4 * left), 0.02);
  expect(work.patches.length).toBe(1);
  const half = width / 2,
    root = sqrt(9 - half * half);
  // From the ball's centre, at height root over the slot's edges, to the floor: at its border, and at its
  // very edge.
  const distance = (x: number): number => sqrt(x * x + (depth + root) ** 2) - 3;
  expect(work.greatestMm).toBeGreaterThan(distance(half - left) - 0.05);
  expect(work.greatestMm).toBeLessThan(distance(half) + 0.05);
});

// Beyond the open ends of a groove a ball sinks deeper: two lengths cancel that. Sections: corner R²
// (tan(φ/2) - φ/2), less for a fillet; slot: its area less the ball's segment below its mouth, the corners of
// the next ball left.
describe('volume of what is cleaned: the difference of the two closed forms', () => {
  const half = rad(60),
    segment = 9 * asin(2 / 3) - 2 * sqrt(5);
  test.each<[string, (length: number) => Float64Array, number, number, number]>([
    [
      'corner turning 120',
      (length) => shapes.vGroove({ turningDeg: 120, arm: 14, length }),
      3,
      2,
      (9 - 4) * (tan(half) - half),
    ],
    [
      'fillet 2',
      (length) => shapes.vGroove({ turningDeg: 90, arm: 10, length, fillet: 2, filletFacets: 48 }),
      3,
      2,
      (9 - 4) * (1 - PI / 4),
    ],
    [
      'slot 4 x 6',
      (length) => shapes.throughSlot(4, 6, length),
      3,
      1.5,
      24 - segment - 2 * 1.5 * 1.5 * (1 - PI / 4),
    ],
  ])('%s', async (_, shape, before, own, section) => {
    const [short, long] = await Promise.all(
      [16, 40].map(
        async (length) => (await workOf(shapes.turned(shape(length), 23.7), [before, own])).volumeMm3,
      ),
    );
    expectShare((long - short) / 24, section, 0.02);
  });
});

// Two lengths again: a ball leans out over the open ends of a dihedral, too.
test('volume of each place: the section of its own angle', async () => {
  const [short, long] = await Promise.all(
    [10, 30].map(async (length) => {
      const corners = shapes.joined(
        shapes.dihedral({ arm: 12, length, turningDeg: 90 }),
        shapes.moved(shapes.dihedral({ arm: 12, length, turningDeg: 60 }), [60, 0, 0]),
      );
      const work = await workOf(shapes.turned(corners, 23.7), [4, 1.5]);
      const volumes = work.patches.map(({ volumeMm3 }) => volumeMm3).sort((one, other) => other - one);
      expect(work.volumeMm3).toBeCloseTo(compensatedSum(volumes), 9);
      return volumes;
    }),
  );
  expect([short.length, long.length]).toEqual([2, 2]);
  [90, 60].forEach((turningDeg, i) => {
    const half = rad(turningDeg / 2);
    expectShare((long[i] - short[i]) / 20, (16 - 2.25) * (tan(half) - half), 0.02);
  });
});

describe('cutters whose reach is not nested', () => {
  const LENGTH = 16;

  test('a flat cutter after a ball in the foot of a wall: all of both strips, to the edge', async () => {
    const corners = shapes.turned(shapes.dihedral({ turningDeg: 90, arm: 14, length: LENGTH }), -11.3);
    const work = await workOf(corners, [3, flatProfile(2)]);
    expectShare(work.areaMm2, 2 * LENGTH * strip((1 + BLEND) * 3, 90), 0.02);
    expect(work.patches.length).toBe(1);
    // The ball leans out over the open ends, and leaves less there.
    expectShare(work.volumeMm3, LENGTH * 9 * (1 - PI / 4), 0.03);
    expect(work.greatestMm).toBeNull();
  });

  test('a ball after a flat cutter there: nothing is left to clean', async () => {
    const corners = shapes.turned(shapes.dihedral({ turningDeg: 90, arm: 14, length: LENGTH }), -11.3);
    expect((await workOf(corners, [flatProfile(2), 3])).areaMm2).toBe(0);
  });

  // In a V of slopes θ a flat end of radius Rm sinks until the V is 2 Rm wide: strips Rm / cos θ up each
  // slope, and within the tolerance t / sin θ less.
  test('the last of those before leaves more than the first: what both leave counts', async () => {
    const corners = shapes.turned(shapes.vGroove({ turningDeg: 60, arm: 14, length: LENGTH }), 23.7);
    const { areaMm2 } = await workOf(corners, [flatProfile(1), 3, 0.5]);
    const ofFlat = (1 + BLEND) / cos(rad(30)) - TOLERANCE / 0.5;
    expect(ofFlat).toBeLessThan(strip(3, 60));
    expectShare(areaMm2, 2 * LENGTH * (ofFlat - strip(0.5, 60)), 0.02);
  });
});

describe('in a survey', () => {
  const ball = (DC: number) => ({ id: `B${DC}`, DC, RE: DC / 2, APMX: DC, LU: 60, NOF: 2 });
  const setup = {
    cutters: { version: 1 as const, cutters: [ball(10), ball(4)] },
    ladderRule: 'largest-first' as const,
    firstCutterShare: 0.3,
    ...FINISHING_ALONE,
  };
  const pocket = (): Float64Array =>
    shapes.turned(shapes.boxPocket({ width: 40, length: 30, depth: 12, land: 8 }), 17.3);

  test('plan, rings and curves tell the same; the first cutter has no rest', async () => {
    const { plan, files } = await surveyShape(pocket(), setup);
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(['B10', 'B4']);
    const [first, second] = plan.ladder;
    expect([first.restAreaMm2, first.restVolumeMm3, first.restGreatestMm, first.restRegions]).toEqual([
      null,
      null,
      null,
      [],
    ]);
    expectShare(
      compensatedSum(second.restRegions.map(({ areaMm2 }) => areaMm2)),
      second.restAreaMm2 ?? NaN,
      1e-9,
    );
    const [b4, b10] = plan.reach.byRadius;
    expectShare(second.restVolumeMm3, (b10.restVolumeMm3 ?? NaN) - (b4.restVolumeMm3 ?? NaN), 0.02);
    expect(second.restAreaMm2).toBeGreaterThan(second.finishedAreaMm2);
    expect(second.restGreatestMm).toBe(
      Math.max(...second.restRegions.map(({ greatestMm }) => greatestMm ?? NaN)),
    );
    for (const name of ['outlines.svg', 'outlines.dxf']) {
      const text = String(files.get(name));
      expect(text).toContain(name.endsWith('svg') ? 'id="cutter-B4-rest-contact"' : 'B4 rest contact');
    }
    expect(String(files.get('outlines.dxf'))).toContain('\nrest B4\n');
  });

  // A ball R rests on the rim, a from the middle, of a dimple d deep: what it leaves in the middle is
  // d - (R - √(R² - a²)).
  test('rest hardly thicker than the tolerance is not said to be nothing', async () => {
    const [rho, d, R] = [2, 0.04, 6];
    const a2 = 2 * rho * d - d * d;
    // Fine about the dimple; beside it the ground is level.
    const places = [...steps(4), ...steps(26, 0.08, 4.96), ...steps(4, 1, 8)];
    const dimple = heightBlock(places, places, (x, y) => {
      const r2 = (x - 6) ** 2 + (y - 6) ** 2;
      return 5 - (r2 < a2 ? sqrt(rho * rho - r2) - (rho - d) : 0);
    });
    const { plan } = await surveyShape(dimple, {
      ...setup,
      cutters: { version: 1, cutters: [ball(2 * R), ball(3)] },
    });
    const thick = d - R + sqrt(R * R - a2);
    expect(thick).toBeCloseTo(0.0268, 4);
    const own = plan.reach.byRadius.find(({ radiusMm }) => radiusMm === R);
    expect(own?.unreachedAreaMm2).toBeGreaterThan(0.05);
    expect(own?.maxGapMm).toBeGreaterThanOrEqual(0.02);
    expect(own?.maxGapMm).toBeLessThanOrEqual(d);
    expect(abs((plan.ladder[1].restGreatestMm ?? NaN) - thick)).toBeLessThan(0.004);
  });
});

// The same surface measured twice: as facets, and as what its rings enclose in plan.
test('rings in plan are closed, and enclose the area of what is cleaned on the floor', async () => {
  const corners = shapes.turned(shapes.boxPocket({ width: 40, length: 30, depth: 12, land: 8 }), 17.3);
  const work = await workOf(corners, [5, 2]);
  const { mesh, topology } = work.surface;
  const traced = traceRings(
    mesh,
    topology,
    work.patchOf.map((patch) => Math.min(patch, 0)),
    await loadClipper(),
  );
  expectGoodRings(traced.outlines);
  const { areas, normals } = facetNormals(mesh);
  const onFloor = areas.filter((_, f) => work.patchOf[f] >= 0 && normals[3 * f + 2] > 0.5);
  expectShare(
    compensatedSum(ringsOfRegion(traced.outlines, 0).map(ringArea)),
    compensatedSum(onFloor),
    0.002,
  );
  // The frame between what the larger ball, taken larger, and the smaller one leave, its corners nearly
  // square.
  const [outer, inner] = [strip(1.03 * 5, 90), strip(2, 90)];
  const frame = (40 - 2 * inner) * (30 - 2 * inner) - (40 - 2 * outer) * (30 - 2 * outer);
  expectShare(compensatedSum(onFloor), frame, 0.02);
});

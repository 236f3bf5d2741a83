import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { prepareMesh } from '../../src/part/prepare.js';
import { readPart } from '../../src/read/read-part.js';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  type CutterProfile,
} from '../../src/cutter/cutter-profile.js';
import { restVolume } from '../../src/reach/rest-volume.js';
import {
  boxPocket,
  dihedral,
  frustumOnPlate,
  moved,
  rampBlock,
  roundPocket,
  throughSlot,
  threePlaneCorner,
  turned,
  vGroove,
} from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';
import { partOf } from './part.js';

const rad = (degrees: number): number => (degrees * Math.PI) / 180;
const rest = (corners: Float64Array, profile: CutterProfile, options = {}) => {
  const { mesh, topology } = partOf(corners);
  return restVolume(mesh, topology, profile, options);
};

/** Only the middle 20 mm of a corner along y, which the part's ends do not touch, after turning. */
const middle =
  (turnDeg: number) =>
  (x: number, y: number): boolean =>
    Math.abs(-Math.sin(rad(turnDeg)) * x + Math.cos(rad(turnDeg)) * y) < 10;

// Rest section between two planes, turning angle phi, fillet rho: (R² - rho²)(tan(phi/2) - phi/2); greatest
// gap (R - rho)(1 / cos(phi/2) - 1). Derivation: kite minus sector; values: 90°, R3: 1.931417; 60°: 0.483763;
// 120°: 6.163679.
const section = (phi: number, R: number, rho = 0): number =>
  (R * R - rho * rho) * (Math.tan(rad(phi / 2)) - rad(phi / 2));

test.each([
  [90, 0],
  [60, 0],
  [30, 0],
  [88, 0],
  [87, 0],
  [80, 0],
  [90, 1],
  [87, 1],
  [60, 1.5],
])(
  'floor and wall of %d°, fillet %d: within 1 per cent of the section, at any angle to the axes',
  (turningDeg, fillet) => {
    for (const turnDeg of [0, 23, 45]) {
      const spec = { turningDeg, arm: 12, length: 40, ...(fillet > 0 ? { fillet, filletFacets: 16 } : {}) };
      const { volumeMm3, greatestMm } = rest(turned(dihedral(spec), turnDeg), ballProfile(3), {
        within: middle(turnDeg),
      });
      expect(Math.abs(volumeMm3 / (20 * section(turningDeg, 3, fillet)) - 1)).toBeLessThan(0.01);
      expect(Math.abs(greatestMm - (3 - fillet) * (1 / Math.cos(rad(turningDeg / 2)) - 1))).toBeLessThan(
        0.03,
      );
    }
  },
);

// Walls that are hardly wider in plan than the nodes are apart: 1.5 per cent, worst where they run at 45° to
// the nodes.
test.each([
  [89.5, 0],
  [89, 0],
  [88.5, 0],
  [89, 1],
  [88.5, 1],
])('wall of little draft, %d°, fillet %d: within 1.5 per cent of the section', (turningDeg, fillet) => {
  for (const turnDeg of [0, 11, 23, 45]) {
    const spec = { turningDeg, arm: 12, length: 40, ...(fillet > 0 ? { fillet, filletFacets: 16 } : {}) };
    const { volumeMm3 } = rest(turned(dihedral(spec), turnDeg), ballProfile(3), { within: middle(turnDeg) });
    expect(Math.abs(volumeMm3 / (20 * section(turningDeg, 3, fillet)) - 1)).toBeLessThan(0.015);
  }
});

test.each([
  ['soap-dish-cavity', 2.5],
  ['bell-cover-core', 1.5],
  ['bell-cover-core', 5],
  ['clip-insert', 3],
])('%s, ball R%d: a grid of twice the resolution finds the same within 2 per cent', async (name, radius) => {
  const soup = await readPart(readFileSync(`models/${name}.stl`), { name, unit: 'mm' });
  const { mesh, topology } = prepareMesh(soup, { axis: [0, 0, 1], stand: false });
  const coarse = restVolume(mesh, topology, ballProfile(radius));
  const fine = restVolume(mesh, topology, ballProfile(radius), { pitchMm: coarse.pitchMm / 2 });
  expect(Math.abs(coarse.volumeMm3 / fine.volumeMm3 - 1)).toBeLessThan(0.02);
});

test.each([60, 90, 120])('V-groove of %d°: within 0.5 per cent', (turningDeg) => {
  for (const turnDeg of [0, 31]) {
    const { volumeMm3 } = rest(
      turned(vGroove({ turningDeg, arm: 12, length: 40 }), turnDeg),
      ballProfile(3),
      {
        within: middle(turnDeg),
      },
    );
    expect(Math.abs(volumeMm3 / (20 * section(turningDeg, 3)) - 1)).toBeLessThan(0.005);
  }
});

// Volume of revolution of the section above, fillet 3 in a pocket of radius 20: 177.6298, 401.9664, 671.2028
// (by Pappus and by quadrature). The polygon of 256 sides is itself 0.01 % smaller.
test.each([
  [3, 0],
  [4, 177.6298],
  [5, 401.9664],
  [6, 671.2028],
])('round pocket, ball R%d: %d mm³', (R, volume) => {
  const result = rest(
    moved(roundPocket({ segments: 256, filletFacets: 24 }), [1e3, -2e3, 50]),
    ballProfile(R),
  );
  expect(Math.abs(result.volumeMm3 - volume)).toBeLessThan(Math.max(0.01, 0.01 * volume));
  if (R === 3) return;
  expect(Math.abs(result.greatestMm - (R - 3) * (Math.SQRT2 - 1))).toBeLessThan(0.02);
  const [x, y] = result.whereMm ?? [NaN, NaN];
  expect(Math.sqrt((x - 1e3) ** 2 + (y + 2e3) ** 2)).toBeCloseTo(20 - 3 + 3 * Math.SQRT1_2, 0);
});

// The section above, at the foot of a cone: 2 π times the moment of two right triangles less a sector
// (Pappus; centroid of a sector of angle φ at 4 R sin(φ/2) / (3 φ), any handbook's table of centroids). The
// foot is a polygon of 32 sides, whose facets bend by 11°: what lies between them on the way round is stopped
// as well.
test.each([
  [88, 32, 1.5],
  [80, 32, 3],
  [88, 96, 1.5],
])('foot of a cone of %d°, %d facets, ball R%d: within 1.5 per cent', (deg, segments, R) => {
  const foot = 12,
    height = 8,
    wall = rad(deg),
    T = R * Math.tan(wall / 2);
  const boss = { baseRadius: foot, topRadius: foot - height / Math.tan(wall), height, side: 50, segments };
  const middleX = foot + T,
    triangle = (R * T) / 2;
  const kite =
    (triangle * (foot + middleX + middleX)) / 3 +
    (triangle * (foot + (foot - T * Math.cos(wall)) + middleX)) / 3;
  const out = (4 * R * Math.sin(wall / 2)) / (3 * wall);
  const sector = ((R * R * wall) / 2) * (middleX - (out * T) / Math.sqrt(T * T + R * R));
  for (const turnDeg of [0, 17]) {
    const { volumeMm3 } = rest(turned(frustumOnPlate(boss), turnDeg), ballProfile(R));
    expect(Math.abs(volumeMm3 / (2 * Math.PI * (kite - sector)) - 1)).toBeLessThan(0.015);
  }
});

test.each([37.9, 52, 60, 70])(
  'a plane at %d° has no corner to leave anything in: exactly nothing',
  (degrees) => {
    for (const turnDeg of [0, 20]) {
      expect(rest(turned(rampBlock(degrees, 40, 60), turnDeg), ballProfile(3))).toMatchObject({
        volumeMm3: 0,
        greatestMm: 0,
        whereMm: null,
      });
    }
  },
);

// Three orthogonal planes: R³(1 - π/6) in the cube at the corner; above it the upright edge keeps R²(1 - π/4)
// per mm.
test('orthogonal corner, and a whole box pocket with four of them', () => {
  const R = 3,
    upright = R * R * (1 - Math.PI / 4),
    cube = R ** 3 * (1 - Math.PI / 6);
  const corner = rest(threePlaneCorner(), ballProfile(R), {
    within: (x: number, y: number) => x < 20 + R && y < 20 + R,
    pitchMm: 0.08,
  });
  expect(Math.abs(corner.volumeMm3 / (cube + upright * (40 - R)) - 1)).toBeLessThan(0.02);
  expect(Math.abs(corner.greatestMm - (Math.sqrt(3) - 1) * R)).toBeLessThan(0.1);
  for (const turnDeg of [0, 23]) {
    const { volumeMm3 } = rest(
      turned(boxPocket({ width: 66, length: 66, depth: 20, land: 17 }), turnDeg),
      ballProfile(R),
    );
    const exact = 4 * (upright * (20 - R) + cube + (66 - 2 * R) * section(90, R));
    expect(Math.abs(volumeMm3 / exact - 1)).toBeLessThan(0.01);
  }
});

// A ball over a slot of width W < 2R sinks R - √(R² - W²/4); below it everything stays. Flat cutter: no entry
// at all.
test('slots narrower than the cutter keep everything below it', () => {
  const W = 4,
    depth = 6,
    R = 3,
    half = W / 2;
  const cap = R * R * Math.asin(half / R) - half * Math.sqrt(R * R - half * half);
  const within = middle(0);
  const slot = throughSlot(W, depth, 40);
  expect(
    Math.abs(rest(slot, ballProfile(R), { within }).volumeMm3 / (20 * (W * depth - cap)) - 1),
  ).toBeLessThan(0.01);
  expect(Math.abs(rest(slot, flatProfile(R), { within }).volumeMm3 / (20 * W * depth) - 1)).toBeLessThan(
    0.01,
  );
});

// Two square corners of the section above, whatever lies between them: no node lies where the axis must.
test.each([6, 6.01, 6.1])(
  'a slot %d wide is as wide as a ball R3: within 0.5 per cent of its two corners',
  (width) => {
    for (const turnDeg of [0, 23]) {
      const { volumeMm3, greatestMm } = rest(turned(throughSlot(width, 10, 40), turnDeg), ballProfile(3), {
        within: middle(turnDeg),
      });
      expect(Math.abs(volumeMm3 / (2 * 20 * section(90, 3)) - 1)).toBeLessThan(0.005);
      expect(Math.abs(greatestMm - 3 * (Math.SQRT2 - 1))).toBeLessThan(0.02);
    }
  },
);

test("walls that lean by rounding alone are upright: a flat cutter of the slot's own width leaves nothing", () => {
  const slot = extrude(
    [
      [-15, -10],
      [15, -10],
      [15, 0],
      [3, 0],
      [3 - 1e-6, -6],
      [1e-6 - 3, -6],
      [-3, 0],
      [-15, 0],
    ],
    -20,
    20,
  );
  expect(rest(turned(slot, 23), flatProfile(3), { within: middle(23) }).volumeMm3).toBeLessThan(
    0.01 * 20 * 36,
  );
});

// As the box pocket above, but its short sides vanish.
test.each([6, 6.04])('a pocket %d wide is as wide as a ball R3: within 1 per cent', (width) => {
  const R = 3,
    depth = 10,
    length = 30,
    upright = R * R * (1 - Math.PI / 4),
    cube = R ** 3 * (1 - Math.PI / 6);
  const exact = 4 * (upright * (depth - R) + cube) + 2 * upright * (width - 2 * R + length - 2 * R);
  for (const turnDeg of [0, 23]) {
    const { volumeMm3 } = rest(
      turned(boxPocket({ width, length, depth, land: 10 }), turnDeg),
      ballProfile(R),
    );
    expect(Math.abs(volumeMm3 / exact - 1)).toBeLessThan(0.01);
  }
});

// A groove whose walls lean by `deg`: two of them hold the ball where a circle touches both, below it
// everything stays (trapezoid less a segment of the circle); or the ball reaches the floor and leaves the two
// corners.
test.each([
  [5, 5],
  [5, 1],
  [5.1, 5],
  [5.3, 2],
  [4.9, 5],
])('a groove %d wide at its top, walls of %d°, ball R2.5: within 1 per cent', (width, deg) => {
  const R = 2.5,
    depth = 6,
    half = width / 2,
    lean = Math.tan(rad(deg)),
    bottom = half - depth * lean;
  const groove = extrude(
    [
      [-15, -10],
      [15, -10],
      [15, 0],
      [half, 0],
      [bottom, -depth],
      [-bottom, -depth],
      [-half, 0],
      [-15, 0],
    ],
    -20,
    20,
  );
  const centre = (R * Math.sqrt(1 + lean * lean) - half) / lean,
    held = centre > R - depth;
  const touch = centre - R * Math.sin(rad(deg)),
    segment = R * R * (rad(90 - deg) - Math.cos(rad(deg)) * Math.sin(rad(deg)));
  const onRims =
    (half + bottom) * depth -
    R * R * Math.asin(Math.min(1, half / R)) +
    half * Math.sqrt(Math.max(0, R * R - half * half));
  const onWalls = (R * Math.cos(rad(deg)) + bottom) * (touch + depth) - segment;
  const area = !held ? 2 * section(90 - deg, R) : touch > 0 ? onRims : onWalls;
  for (const turnDeg of [0, 23]) {
    const { volumeMm3 } = rest(turned(groove, turnDeg), ballProfile(R), {
      within: (x: number, y: number) =>
        middle(turnDeg)(x, y) && Math.abs(Math.cos(rad(turnDeg)) * x + Math.sin(rad(turnDeg)) * y) < 14,
    });
    expect(Math.abs(volumeMm3 / (20 * area) - 1)).toBeLessThan(0.01);
  }
});

// Floor fillet 1 in a bore of radius 4 and the same for the ball: each a ring of r² (1 - π/4), whose centroid
// lies r (10 - 3 π) / (3 (4 - π)) from the corner (Pappus; a square less a quarter circle). A ball that
// misses by more than chords and slack stays on top.
test.each([
  [4, 48],
  [4, 256],
  [3.99, 48],
  [3.95, 64],
  [3.8, 256],
])('a bore R4 and a ball R%d, %d sides: within 1.5 per cent', (R, segments) => {
  const ring = (r: number): number =>
    r * r * (1 - Math.PI / 4) * 2 * Math.PI * (4 - (r * (10 - 3 * Math.PI)) / (3 * (4 - Math.PI)));
  const bore = turned(
    roundPocket({ segments, filletFacets: 12, side: 20, wallRadius: 4, fillet: 1, wallHeight: 9 }),
    12,
  );
  const { volumeMm3, greatestMm } = rest(bore, ballProfile(R));
  expect(Math.abs(volumeMm3 / (ring(R) - ring(1)) - 1)).toBeLessThan(0.015);
  expect(Math.abs(greatestMm - (R - 1) * (Math.SQRT2 - 1))).toBeLessThan(0.02);
  expect(rest(bore, ballProfile(4.03)).greatestMm).toBeGreaterThan(5);
});

// Against a square corner a flat cutter leaves nothing, a bull-nose what a ball of its corner radius leaves.
test('flat and bull-nose in a square corner', () => {
  const corner = turned(dihedral({ turningDeg: 90, arm: 16, length: 40 }), 12);
  const within = middle(12);
  expect(rest(corner, flatProfile(3), { within }).volumeMm3).toBeLessThan(0.01 * 20 * section(90, 3));
  const bull = rest(corner, bullNoseProfile(5, 2), { within });
  expect(Math.abs(bull.volumeMm3 / (20 * section(90, 2)) - 1)).toBeLessThan(0.02);
});

test('stock acts as a larger ball; a mask that excludes all leaves nothing; tiles change nothing', () => {
  const part = boxPocket({ width: 20, length: 26, depth: 8, land: 4 });
  const options = { pitchMm: 0.2 };
  const plain = rest(part, ballProfile(2.5), options);
  expect(rest(part, ballProfile(2), { ...options, stockMm: 0.5 })).toEqual(plain);
  expect(rest(part, ballProfile(2.5), { ...options, within: () => false })).toEqual({
    volumeMm3: 0,
    greatestMm: 0,
    whereMm: null,
    pitchMm: 0.2,
  });
  const tiled = rest(part, ballProfile(2.5), { ...options, maxNodes: 12000 });
  expect(tiled.volumeMm3).toBeCloseTo(plain.volumeMm3, 9);
  expect(tiled.greatestMm).toBeCloseTo(plain.greatestMm, 9);
  const seen: number[] = [];
  const { mesh, topology } = partOf(part);
  restVolume(
    mesh,
    topology,
    ballProfile(2.5),
    { ...options, maxNodes: 12000 },
    { progress: (_, f) => seen.push(f) },
  );
  expect(Math.min(...seen)).toBe(0);
  expect(Math.max(...seen)).toBeLessThanOrEqual(1);
});

test('refusals and abort', () => {
  const { mesh, topology } = partOf(boxPocket({ width: 6, length: 6, depth: 4, land: 4 }));
  expect(() => restVolume(mesh, topology, ballProfile(1), { stockMm: -1 })).toThrow(RangeError);
  expect(() => restVolume(mesh, topology, ballProfile(1), { pitchMm: 0 })).toThrow(RangeError);
  const signal = AbortSignal.abort(new Error('enough'));
  expect(() => restVolume(mesh, topology, ballProfile(1), {}, { signal })).toThrow('enough');
});

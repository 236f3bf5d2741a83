import { expect, test } from 'vitest';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  taperedBallProfile,
  type CutterProfile,
} from '../../src/cutter/cutter-profile.js';
import { columnTop } from '../../src/reach/column-top.js';
import { thicknessesAt } from '../../src/reach/reach-kernels.js';
import { readyPart } from '../support/pipeline.js';
import {
  boxPocket,
  dihedral,
  frustumOnPlate,
  rampBlock,
  roundPocket,
  threePlaneCorner,
  CORNER,
  throughSlot,
  turned,
  vGroove,
} from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';

const { PI, SQRT1_2, abs, asin, cos, max, min, sin, sqrt, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;
const LIMITS = { toleranceMm: 0.02, slackMm: 0.002 };

/** Columns over a piece of the plan: places for (u, v) in the unit square, and mm² of plan for each unit there. */
interface Ground {
  readonly at: (u: number, v: number) => readonly [number, number];
  readonly area: (u: number) => number;
}

const rectangle = (x0: number, x1: number, y0: number, y1: number): Ground => ({
  at: (u, v) => [x0 + u * (x1 - x0), y0 + v * (y1 - y0)],
  area: () => (x1 - x0) * (y1 - y0),
});
/** A ring between two radii. */
const ring = (r0: number, r1: number): Ground => ({
  at: (u, v) => [(r0 + u * (r1 - r0)) * cos(2 * PI * v), (r0 + u * (r1 - r0)) * sin(2 * PI * v)],
  area: (u) => 2 * PI * (r0 + u * (r1 - r0)) * (r1 - r0),
});
/** 20 mm of the middle of a part along y, from x0 to x1. */
const middle = (x0: number, x1: number): Ground => rectangle(x0, x1, -10, 10);

/** Volume over a ground by upright columns, turned with the part; across u and along v. */
function rest(
  corners: Float64Array,
  profile: CutterProfile,
  ground: Ground,
  { turnDeg = 0, across = 400, along = 2 } = {},
): { readonly volume: number; readonly thickest: number } {
  const { tree } = readyPart(turnDeg === 0 ? corners : turned(corners, turnDeg));
  const top = columnTop(tree);
  const feet: number[] = [],
    areas: number[] = [];
  const [c, s] = [cos(rad(turnDeg)), sin(rad(turnDeg))];
  for (let i = 0; i < across * along; i++) {
    const u = ((i % across) + 0.5) / across;
    const [x, y] = ground.at(u, (Math.floor(i / across) + ((i * 0.618034) % 1)) / along);
    const z = top(c * x - s * y, s * x + c * y);
    if (z === -Infinity) continue;
    feet.push(c * x - s * y, s * x + c * y, z, 0, 0, 1, NaN);
    areas.push(ground.area(u) / across / along);
  }
  const found = thicknessesAt(tree, Float64Array.from(feet), profile, 1e3, LIMITS);
  expect(found.every((mm) => mm < 100)).toBe(true);
  return { volume: found.reduce((sum, mm, i) => sum + mm * areas[i], 0), thickest: max(...found) };
}

function expectShare(found: number, expected: number, share: number): void {
  expect(abs(found - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(share * expected);
}

// Rest section between two planes, turning angle phi, fillet rho: (R² - rho²)(tan(phi/2) - phi/2). Derivation:
// kite minus sector; values: 90°, R3: 1.931417; 60°: 0.483763; 120°: 6.163679.
const section = (phi: number, R: number, rho = 0): number =>
  (R * R - rho * rho) * (tan(rad(phi / 2)) - rad(phi / 2));

// Walls of little draft are hardly wider in plan than the columns are apart.
test.each([
  [90, 0, 3],
  [60, 0, 1.5],
  [30, 0, 5],
  [88, 0, 3],
  [80, 0, 0.8],
  [89.5, 0, 3],
  [90, 1, 3],
  [87, 1, 2],
  [60, 1.5, 4],
  [88.5, 1, 3],
])('floor and wall of %d°, fillet %d, ball R%d: within 1.5 per cent of the section', (deg, fillet, R) => {
  for (const turnDeg of [0, 23]) {
    const spec = {
      turningDeg: deg,
      arm: 12,
      length: 40,
      ...(fillet > 0 ? { fillet, filletFacets: 16 } : {}),
    };
    const reach = R * tan(rad(deg / 2)) + 0.01;
    const ground = middle(-reach, reach);
    const { volume } = rest(dihedral(spec), ballProfile(R), ground, { turnDeg, across: 600, along: 1 });
    expectShare(volume, 20 * section(deg, R, fillet), 0.015);
  }
});

test.each([60, 90, 120])('V-groove of %d°: within 1.5 per cent', (turningDeg) => {
  const corners = vGroove({ turningDeg, arm: 12, length: 40 });
  for (const [R, turnDeg] of [
    [3, 0],
    [1.2, 31],
  ]) {
    const reach = R * sin(rad(turningDeg / 2)) + 0.01;
    const { volume } = rest(corners, ballProfile(R), middle(-reach, reach), { turnDeg });
    expectShare(volume, 20 * section(turningDeg, R), 0.015);
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
  const found = rest(roundPocket({ segments: 256, filletFacets: 24 }), ballProfile(R), ring(13, 20), {
    along: 3,
  });
  expect(abs(found.volume - volume)).toBeLessThan(max(0.02, 0.015 * volume));
});

// The section above, at the foot of a cone: 2 π times the moment of two right triangles less a sector
// (Pappus; centroid of a sector of angle φ at 4 R sin(φ/2) / (3 φ), any handbook's table of centroids). The
// foot is a polygon, whose facets bend by up to 11°: what lies between them on the way round is stopped as well.
test.each([
  [88, 32, 1.5],
  [80, 32, 3],
  [88, 96, 1.5],
])('foot of a cone of %d°, %d facets, ball R%d: within 2 per cent', (deg, segments, R) => {
  const foot = 12,
    height = 8,
    wall = rad(deg),
    T = R * tan(wall / 2);
  const boss = { baseRadius: foot, topRadius: foot - height / tan(wall), height, side: 50, segments };
  const middleX = foot + T,
    triangle = (R * T) / 2;
  const kite =
    (triangle * (foot + middleX + middleX)) / 3 + (triangle * (foot + (foot - T * cos(wall)) + middleX)) / 3;
  const out = (4 * R * sin(wall / 2)) / (3 * wall);
  const sector = ((R * R * wall) / 2) * (middleX - (out * T) / sqrt(T * T + R * R));
  const ground = ring(boss.topRadius, foot + T + 0.1);
  for (const turnDeg of [0, 17]) {
    const { volume } = rest(frustumOnPlate(boss), ballProfile(R), ground, { turnDeg, along: 8 });
    expectShare(volume, 2 * PI * (kite - sector), 0.02);
  }
});

test.each([37.9, 52, 60, 70])('a plane at %d° has no corner to leave anything in: nothing', (degrees) => {
  for (const profile of [ballProfile(3), flatProfile(3), bullNoseProfile(4, 1)]) {
    const { thickest } = rest(rampBlock(degrees, 40, 60), profile, rectangle(-10, 10, -10, 10), {
      turnDeg: 20,
      across: 60,
      along: 4,
    });
    expect(thickest).toBe(0);
  }
});

// Three orthogonal planes: R³(1 - π/6) in the cube at the corner; above it the upright edge keeps R²(1 - π/4)
// per mm. A flat cutter leaves the upright edge only, all the way down.
test.each([3, 1.25])('orthogonal corner, R %d', (R) => {
  const side = 2 * R,
    upright = R * R * (1 - PI / 4),
    cube = R ** 3 * (1 - PI / 6);
  const { at } = CORNER;
  const ground = rectangle(at, at + side, at, at + side);
  const corner = threePlaneCorner(),
    choice = { across: 60, along: 60, turnDeg: 23 };
  const height = 40;
  const ofBall = upright * (height - R) + cube + 2 * (side - R) * section(90, R);
  expectShare(rest(corner, ballProfile(R), ground, choice).volume, ofBall, 0.02);
  expectShare(rest(corner, flatProfile(R), ground, choice).volume, upright * height, 0.02);
});

// A ball over a slot of width W < 2R sinks R - √(R² - W²/4); below it everything stays. Others: no entry at all,
// but for what the rounded corners of a bull-nose let its end sink.
test.each([
  [4, 6, 3],
  [1.6, 5, 1],
])('slots narrower than the cutter keep everything below it: %d wide, %d deep, R %d', (W, depth, R) => {
  const half = W / 2;
  const cap = R * R * asin(half / R) - half * sqrt(R * R - half * half);
  const slot = throughSlot(W, depth, 40),
    ground = middle(-half, half);
  expectShare(rest(slot, ballProfile(R), ground).volume, 20 * (W * depth - cap), 0.01);
  expectShare(rest(slot, flatProfile(R), ground).volume, 20 * W * depth, 0.01);
});

// Two square corners of the section above, whatever lies between them.
test.each([1, 1.001, 1.01, 1.06, 1.2])('a slot %d times as wide as the cutter: its two corners', (share) => {
  for (const [R, turnDeg] of [
    [3, 0],
    [0.6, 23],
  ]) {
    const width = 2 * R * share;
    const slot = throughSlot(width, 10, 40),
      ground = middle(-width / 2, width / 2);
    const { volume } = rest(slot, ballProfile(R), ground, { turnDeg });
    expectShare(volume, 2 * 20 * section(90, R), 0.02);
    const bull = rest(slot, bullNoseProfile(R, R / 3), ground, { turnDeg }).volume;
    // Corners this small are of the size of what the cutter may enter the part by.
    expectShare(bull, 2 * 20 * section(90, R / 3), R < 1 ? 0.05 : 0.03);
    expect(rest(slot, flatProfile(R), ground, { turnDeg }).thickest).toBe(0);
  }
});

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
  expect(rest(slot, flatProfile(3), middle(-2.99, 2.99), { turnDeg: 23 }).volume).toBeLessThan(
    0.01 * 20 * 36,
  );
});

// As the orthogonal corner above, but the pocket's short sides vanish.
test.each([6, 6.04])('a pocket %d wide is as wide as a ball R3: within 2 per cent', (width) => {
  const R = 3,
    depth = 10,
    length = 30,
    upright = R * R * (1 - PI / 4),
    cube = R ** 3 * (1 - PI / 6);
  const exact = 4 * (upright * (depth - R) + cube) + 2 * upright * (width - 2 * R + length - 2 * R);
  const ground = rectangle(-width / 2, width / 2, -length / 2, length / 2);
  const pocket = boxPocket({ width, length, depth, land: 10 });
  const choice = { across: 40, along: 200 };
  expectShare(rest(pocket, ballProfile(R), ground, { ...choice, turnDeg: 23 }).volume, exact, 0.02);
});

// A groove whose walls lean by `deg`: two of them hold the ball where a circle touches both, below it
// everything stays (trapezoid less a segment of the circle); or the ball reaches the floor and leaves the two
// corners.
function grooveRest(width: number, deg: number, depth: number, R: number): number {
  const half = width / 2,
    lean = tan(rad(deg)),
    bottom = half - depth * lean;
  const centre = (R * sqrt(1 + lean * lean) - half) / lean,
    held = centre > R - depth;
  const touch = centre - R * sin(rad(deg)),
    segment = R * R * (rad(90 - deg) - cos(rad(deg)) * sin(rad(deg)));
  const onRims =
    (half + bottom) * depth - R * R * asin(min(1, half / R)) + half * sqrt(max(0, R * R - half * half));
  const onWalls = (R * cos(rad(deg)) + bottom) * (touch + depth) - segment;
  return !held ? 2 * section(90 - deg, R) : touch > 0 ? onRims : onWalls;
}

/** What the ball may enter the part by, and what radii are told apart by: in steep grooves it sinks by many times that. */
const SMALLER_MM = 0.006;

test.each([
  [5, 5],
  [5, 1],
  [5.1, 5],
  [5.3, 2],
  [4.9, 5],
])(
  'a groove %d wide at its top, walls of %d°, ball R2.5: as what a ball hardly smaller leaves',
  (width, deg) => {
    const R = 2.5,
      depth = 6,
      half = width / 2,
      bottom = half - depth * tan(rad(deg));
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
    const most = 20 * grooveRest(width, deg, depth, R),
      least = 20 * grooveRest(width, deg, depth, R - SMALLER_MM);
    for (const turnDeg of [0, 23]) {
      const { volume } = rest(groove, ballProfile(R), middle(-half, half), { turnDeg });
      expect(volume).toBeGreaterThan(0.99 * least);
      expect(volume).toBeLessThan(1.01 * most);
    }
  },
);

// Floor fillet 1 in a bore of radius 4 and the same for the ball: each a ring of r² (1 - π/4), whose centroid
// lies r (10 - 3 π) / (3 (4 - π)) from the corner (Pappus; a square less a quarter circle).
test.each([
  [4, 48],
  [4, 256],
  [3.99, 48],
  [3.95, 64],
  [3.8, 256],
])('a bore R4 and a ball R%d, %d sides: within 1.5 per cent', (R, segments) => {
  const corner = (r: number): number =>
    r * r * (1 - PI / 4) * 2 * PI * (4 - (r * (10 - 3 * PI)) / (3 * (4 - PI)));
  const bore = roundPocket({ segments, filletFacets: 12, side: 20, wallRadius: 4, fillet: 1, wallHeight: 9 });
  const ground = ring(0, 4),
    choice = { turnDeg: 12, across: 200, along: 4 };
  expectShare(rest(bore, ballProfile(R), ground, choice).volume, corner(R) - corner(1), 0.015);
  const stuck = rest(bore, ballProfile(4.03), ground, { ...choice, across: 20, along: 2 });
  expect(stuck.thickest).toBeGreaterThan(5);
});

// Between two planes the corner rounding alone counts; a flat cutter leaves nothing.
test.each([
  [90, 5, 2],
  [60, 5, 2],
  [80, 3, 0.8],
])('floor and wall of %d°, cutters of DC/2 %d, RE %d', (deg, R, RE) => {
  const corner = dihedral({ turningDeg: deg, arm: 16, length: 40 }),
    expected = 20 * section(deg, RE),
    ground = middle(-1.2 * RE, 1.2 * RE);
  expectShare(rest(corner, bullNoseProfile(R, RE), ground, { turnDeg: 12 }).volume, expected, 0.02);
  // A cone that leans less than the wall stands on its shoulder.
  if (deg <= 80) {
    const { volume } = rest(corner, taperedBallProfile(R, RE, 0.1), ground, { turnDeg: 12 });
    expectShare(volume, expected, 0.03);
  }
  expect(rest(corner, flatProfile(R), ground, { turnDeg: 12 }).thickest).toBe(0);
});

// The end of a flat cutter rests on both slopes of a V where it is 2 R wide: below it a triangle.
test.each([60, 90, 120])('V-groove of %d° under a flat cutter', (turningDeg) => {
  const groove = vGroove({ turningDeg, arm: 12, length: 40 });
  for (const R of [3, 1.1]) {
    const { volume, thickest } = rest(groove, flatProfile(R), middle(-R, R));
    expectShare(volume, 20 * R * R * tan(rad(turningDeg / 2)), 0.01);
    expectShare(thickest, R * tan(rad(turningDeg / 2)), 0.02);
  }
});

test('the vertical thickness over the edge of a square corner under a ball', () => {
  // On the bisector the ball lies R (√2 - 1) away; straight up along the wall it is R.
  const corner = dihedral({ turningDeg: 90, arm: 12, length: 40 });
  const beside = rest(corner, ballProfile(3), middle(-0.05, 0.05), { across: 10, along: 1 }).thickest;
  expect(beside).toBeGreaterThan(3 - sqrt(2 * 3 * 0.05));
  expect(beside).toBeLessThan(3.01);
  expect(SQRT1_2 * beside).toBeGreaterThan(3 * (Math.SQRT2 - 1));
});

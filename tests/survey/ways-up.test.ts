import { expect, test } from 'vitest';
import { MODELS } from '../../models/catalogue.js';
import { AXIS_VECTORS } from '../../src/options.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { resolveSetup, type SetupFile } from '../../src/resolve-setup.js';
import { waysUp } from '../../src/survey/ways-up.js';
import { FINISHING_ALONE, surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { soupBuilder, type Point } from '../support/shapes/soup.js';
import { soupOf } from '../support/soup-of.js';

/** Three by three, row by row. */
type Matrix = readonly (readonly [number, number, number])[];

/** The rotations that take a cube onto itself: signed permutations of determinant 1. */
const CUBE_ROTATIONS: Matrix[] = [
  [0, 1, 2],
  [1, 2, 0],
  [2, 0, 1],
  [0, 2, 1],
  [2, 1, 0],
  [1, 0, 2],
].flatMap((order, p) =>
  [0, 1, 2, 3].map((signs): Matrix => {
    const [a, b] = [signs & 1 ? -1 : 1, signs & 2 ? -1 : 1];
    const own = [a, b, (p < 3 ? 1 : -1) * a * b];
    return order.map((column, row): [number, number, number] => {
      const entry = (k: number): number => (k === column ? own[row] : 0);
      return [entry(0), entry(1), entry(2)];
    });
  }),
);

const turn = (m: Matrix, [x, y, z]: ArrayLike<number> & Iterable<number>): [number, number, number] => {
  const [u, v, w] = m.map(([a, b, c]) => a * x + b * y + c * z);
  return [u, v, w];
};
function turnedBy(m: Matrix, corners: Float64Array): Float64Array {
  const out = new Float64Array(corners.length);
  for (let i = 0; i < out.length; i += 3) out.set(turn(m, corners.subarray(i, i + 3)), i);
  return out;
}

function waysOf(corners: Float64Array, options: SetupFile = {}) {
  const setup = resolveSetup(undefined, options);
  const axis = setup.axis === 'auto' ? AXIS_VECTORS['+z'] : setup.axis;
  return waysUp(prepareMesh(soupOf(corners), { axis, stand: true }), setup);
}
const apart = (a: readonly number[], b: readonly number[]): number =>
  Math.max(...a.map((x, k) => Math.abs(x - b[k])));

test('there are 24 rotations of the cube, all different', () => {
  expect(new Set(CUBE_ROTATIONS.map((m) => m.join())).size).toBe(24);
});

test.each(MODELS.map((model) => [model.name, model] as const))(
  '%s: the same best way up in all 24 poses, as good, and the one it was made in',
  (_, model) => {
    const corners = model.build(1);
    const asMade = waysOf(corners);
    expect(asMade.ways[0].name).toBe('+z');
    for (const pose of CUBE_ROTATIONS) {
      const { ways, toCutMm2, surveyed } = waysOf(turnedBy(pose, corners));
      expect(apart(ways[0].axis, turn(pose, [0, 0, 1])), pose.join()).toBeLessThan(1e-9);
      expect(Math.abs(ways[0].cutMm2 - asMade.ways[0].cutMm2) / toCutMm2).toBeLessThan(0.005);
      expect(apart(ways[surveyed].axis, [0, 0, 1])).toBe(0);
    }
  },
);

/** Cube of side 60 about the origin with a box pocket in some faces, sides along x, y, z as turned there. */
const POCKET = { width: 30, length: 20, depth: 10 };
const FACE_TURNS: Matrix[] = Object.values(AXIS_VECTORS).map((axis) => {
  const found = CUBE_ROTATIONS.find((m) => apart(turn(m, [0, 0, 1]), axis) === 0);
  if (!found) throw new RangeError(`no rotation takes +z to ${axis.join()}`);
  return found;
});
const NAMES = Object.keys(AXIS_VECTORS);

function pocketedCube(faces: readonly string[]): Float64Array {
  const rectangle = (x: number, y: number, z: number): Point[] => [
    [x, y, z],
    [-x, y, z],
    [-x, -y, z],
    [x, -y, z],
  ];
  const { width, length, depth } = POCKET;
  return shapes.joined(
    ...FACE_TURNS.map((m, i) => {
      const soup = soupBuilder(),
        square = rectangle(30, 30, 30);
      if (!faces.includes(NAMES[i])) soup.polygon(square);
      else {
        const rim = rectangle(width / 2, length / 2, 30),
          floor = rectangle(width / 2, length / 2, 30 - depth);
        soup.band(square, rim);
        soup.band(rim, floor);
        soup.polygon(floor);
      }
      return turnedBy(m, soup.corners());
    }),
  );
}

// Closed form: floor and walls of each pocket differ from the block; from its own side all of one is seen, of
// any other nothing: its floor looks away or stands upright under the rim, and its walls lie under solid.
const POCKET_MM2 = POCKET.width * POCKET.length + 2 * POCKET.depth * (POCKET.width + POCKET.length);
/** Of each pocket the floor that looks away, or the one wall that does. */
function undercut(faces: readonly string[], axis: readonly number[]): number {
  const { width, length, depth } = POCKET;
  return faces.reduce((sum, name) => {
    const [x, y, z] = FACE_TURNS[NAMES.indexOf(name)].reduce<number[]>(
      (local, row, k) => local.map((value, i) => value + row[i] * axis[k]),
      [0, 0, 0],
    );
    return (
      sum + Math.abs(x) * length * depth + Math.abs(y) * width * depth + Math.max(0, -z) * width * length
    );
  }, 0);
}
/** Neither along an axis nor along a bisector. */
const TILT: Matrix = [
  [2 / 7, 3 / 7, 6 / 7],
  [3 / 7, -6 / 7, 2 / 7],
  [6 / 7, 2 / 7, -3 / 7],
];
test.each([
  ['one face', ['-z']],
  ['two opposite faces', ['-z', '+z']],
  ['two neighbouring faces', ['+x', '-y']],
  ['all faces', NAMES],
])('a block with pockets in %s, along the axes and tilted: areas by closed form', (_, faces) => {
  for (const pose of [FACE_TURNS[0], TILT]) {
    const { toCutMm2, ways, second } = waysOf(turnedBy(pose, pocketedCube(faces)));
    expect(toCutMm2 / (faces.length * POCKET_MM2)).toBeCloseTo(1, 9);
    for (const [name, axis] of Object.entries(AXIS_VECTORS)) {
      const way = ways.find((one) => apart(one.axis, turn(pose, axis)) < 1e-6);
      expect(Math.abs((way?.cutMm2 ?? NaN) - (faces.includes(name) ? POCKET_MM2 : 0))).toBeLessThan(
        0.01 * POCKET_MM2,
      );
      expect(way?.undercutMm2).toBeCloseTo(undercut(faces, axis), 6);
    }
    expect(apart(ways[0].axis, turn(pose, AXIS_VECTORS[faces[0] as '+z']))).toBeLessThan(
      faces.length === 1 ? 1e-6 : 3,
    );
    if (faces.length === 1) expect(second).toBeNull();
    else {
      expect(Math.abs((second?.togetherMm2 ?? NaN) - 2 * POCKET_MM2)).toBeLessThan(0.02 * POCKET_MM2);
      expect(second?.neitherMm2).toBeCloseTo(toCutMm2 - (second?.togetherMm2 ?? NaN), 6);
    }
  }
});

test('a plain block: nothing to cut, any way is as good, the one it lies in is kept', () => {
  expect(waysOf(shapes.box(30, 20, 10), { axis: '-x' })).toMatchObject({
    toCutMm2: 0,
    surveyed: 0,
    second: null,
  });
});

// A floor 10 mm below the land, which reaches further than any holder: what sticks out is that and the clearance.
test('stickout at most: depth and clearance where the land is wide', () => {
  const { ways } = waysOf(shapes.boxPocket({ ...POCKET, land: 80 }));
  expect(ways[0].stickoutMm).toBeCloseTo(10.5, 3);
});

test('face down, a survey says that turning it over would do; --axis auto turns it over and says so', async () => {
  const corners = turnedBy(FACE_TURNS[NAMES.indexOf('-z')], shapes.boxPocket(POCKET));
  const cutters = [{ id: 'B4', DC: 4, RE: 2, APMX: 4, LU: 20, NOF: 2 }];
  const options: SetupFile = {
    unit: 'mm',
    radiiMm: [2],
    cutters: { version: 1, cutters },
    ...FINISHING_ALONE,
  };
  const lying = (await surveyShape(corners, options)).plan;
  const [found] = lying.findings.filter(({ code }) => code === 'setup.way-up');
  expect(found.severity).toBe('warning');
  expect(found.message).toContain('--axis=-z');
  expect(lying.waysUp).toMatchObject({ isChosen: false, second: null });
  expect(lying.waysUp.ways[lying.waysUp.surveyed].cutMm2).toBe(0);
  const { plan } = await surveyShape(corners, { ...options, axis: 'auto' });
  expect(plan.setup.axis).toEqual([0, 0, -1]);
  expect(plan.findings.map(({ code }) => code)).toContain('setup.axis-auto');
  expect(plan.findings.map(({ code }) => code)).not.toContain('setup.way-up');
  // Closed form: what the survey itself then counts as machinable is the pocket and the land, 15 mm round it.
  const { level, steep, undercut } = plan.classes;
  expect(undercut.areaMm2).toBe(0);
  expect(level.areaMm2 + steep.areaMm2).toBeCloseTo(POCKET_MM2 + 60 * 50 - 30 * 20, 6);
});

test('a solid inside the part is none of what is to be cut', () => {
  const pocket = shapes.boxPocket({ width: 30, length: 24, depth: 8, land: 10 });
  const { min } = shapes.measureSoup(pocket);
  const within = shapes.moved(shapes.box(4, 5, 3), [min[0] + 2, min[1] + 3, min[2] + 1]);
  const [alone, both] = [waysOf(pocket), waysOf(shapes.joined(pocket, within))];
  expect(both.toCutMm2).toBeCloseTo(alone.toCutMm2, 6);
  expect(both.ways.map(({ name }) => name)).toEqual(alone.ways.map(({ name }) => name));
  both.ways.forEach(({ cutMm2, hiddenMm2 }, i) => {
    expect(Math.abs(cutMm2 - alone.ways[i].cutMm2)).toBeLessThan(0.005 * alone.toCutMm2);
    expect(Math.abs(hiddenMm2 - alone.ways[i].hiddenMm2)).toBeLessThan(0.005 * alone.toCutMm2);
  });
});

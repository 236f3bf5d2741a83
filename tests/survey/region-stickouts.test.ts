import { expect, test } from 'vitest';
import type { Cutter } from '../../src/cutter/catalogue.js';
import type { Plan } from '../../src/plan/plan.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { boxPocket, turned } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

const ball = (DC: number, LU: number): Cutter => ({
  id: `ball-${DC}`,
  DC,
  RE: DC / 2,
  APMX: 5,
  LU,
  DN: DC - 0.1,
  DMM: DC,
  NOF: 2,
  taperHalfAngleDeg: 0,
  holder: [{ diameterMm: 20, topDiameterMm: 20, lengthMm: 60 }],
  wearCostPerMinute: null,
  stages: [],
  placeholder: false,
});
async function planOf(corners: Float64Array, cutters: Cutter[]): Promise<Plan> {
  const setup = {
    ...SETUP_DEFAULTS,
    cutters,
    radiiMm: [3],
    holderClearanceMm: 0,
    splitDeg: 45,
    unit: 'mm',
    rough: [],
    semi: [],
  } as const;
  return (await surveyPart(binaryStl(turned(corners, 13.7)), 'pocket.stl', setup, {})).plan;
}

/**
 * A ball within the tolerance of the foot of a wall is taken to touch it: lower by the sagitta's chord, √(2
 * RE t).
 */
const FOOT = Math.sqrt(2 * 3 * SETUP_DEFAULTS.toleranceMm);

// Elementary geometry: beside the wall of a pocket 25 deep the holder, wider than the cutter, must stay above
// the rim, 25 mm over a tip on the floor; over the rim itself nothing asks for more than the cutting edge.
test('floor and walls of a deep pocket ask for its depth, the face above for the cutting edge alone', async () => {
  const { regions, mesh } = await planOf(boxPocket({ width: 14, length: 18, depth: 25, land: 6 }), [
    ball(6, 20),
  ]);
  const top = mesh.boundsMm.max[2];
  const machined = regions.filter(({ cutterId }) => cutterId !== null);
  expect(new Set(machined.map((region) => region.class))).toEqual(new Set(['level', 'steep']));
  for (const { boundsMm, stickoutMm, cutterId, exceedsUsable, lengthToDiameter } of machined) {
    const isFace = boundsMm.min[2] > top - 1e-6;
    expect(cutterId).toBe('ball-6');
    expect(stickoutMm).toBeGreaterThan((isFace ? 5 : 25) - 1e-3);
    expect(stickoutMm).toBeLessThan((isFace ? 5 : 25) + FOOT);
    expect(lengthToDiameter).toBeCloseTo(stickoutMm! / 6, 9);
    expect(exceedsUsable).toBe(!isFace);
  }
  const others = regions.filter(({ cutterId }) => cutterId === null);
  expect(others.length).toBeGreaterThan(1);
  for (const region of others) {
    expect(['underside', 'outside']).toContain(region.class);
    expect(region.stickoutMm).toBeNull();
  }
});

test('a slot that the first cutter does not enter belongs to the next one', async () => {
  const { regions, mesh, ladder } = await planOf(boxPocket({ width: 5, length: 50, depth: 8 }), [
    ball(6, 40),
    ball(4, 40),
  ]);
  expect(ladder.map(({ cutterId }) => cutterId)).toEqual(['ball-6', 'ball-4']);
  const floor = regions.find(
    ({ class: cls, boundsMm }) => cls === 'level' && boundsMm.max[2] < mesh.boundsMm.max[2] - 1,
  );
  expect(floor).toMatchObject({ cutterId: 'ball-4', exceedsUsable: false });
  expect(floor!.stickoutMm).toBeCloseTo(8, 1);
  const face = regions.find(
    ({ class: cls, boundsMm }) => cls === 'level' && boundsMm.min[2] > mesh.boundsMm.max[2] - 1e-6,
  );
  expect(face).toMatchObject({ cutterId: 'ball-6', stickoutMm: 5 });
});

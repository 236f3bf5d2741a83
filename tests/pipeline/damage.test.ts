import { beforeAll, describe, expect, test } from 'vitest';
import type { Plan } from '../../src/plan/plan.js';
import type { SetupFile } from '../../src/resolve-setup.js';
import { surveyShape } from '../support/pipeline.js';
import { between, cornersOf, facetsOf, middleOf } from '../support/damage.js';
import * as shapes from '../support/shapes.js';
import type { Point } from '../support/shapes/soup.js';
import { extrude } from '../support/shapes/sweeps.js';

/**
 * Block 100 x 10: a slot 5 wide with a square bottom at x = 30, one 6 wide with a half-round bottom at x =
 * 60, and from x = 63 on nothing but flat ground, where all damage is done: further from the slots than any
 * cutter is wide.
 */
function clean(): Float64Array {
  const round = Array.from({ length: 25 }, (_, i): [number, number] => {
    const turn = (Math.PI * i) / 24;
    return [60 + 3 * Math.cos(turn), -7 - 3 * Math.sin(turn)];
  });
  return extrude(
    [
      [0, -20],
      [100, -20],
      [100, 0],
      [63, 0],
      ...round,
      [57, 0],
      [32.5, 0],
      [32.5, -8],
      [27.5, -8],
      [27.5, 0],
      [0, 0],
    ],
    0,
    10,
  );
}

/** The two facets of the flat ground on top, to x = 100. */
const isGround = (facet: readonly Point[]): boolean =>
  facet.every(([x, , z]) => x > 62.9 && Math.abs(z) < 1e-9);

/** Replaces each facet of the ground by what `change` makes of it. */
function damaged(change: (facet: readonly Point[], index: number) => (readonly Point[])[]): Float64Array {
  let index = 0;
  const facets = facetsOf(clean()).flatMap((facet) => (isGround(facet) ? change(facet, index++) : [facet]));
  expect(index).toBe(2);
  return cornersOf(facets);
}

const lifted = ([x, y, z]: Point, by: number): Point => [x, y, z + by];

const DAMAGE: Record<string, () => Float64Array> = {
  // Needles 37 mm long and 0.0002 mm wide, and triangles without any area.
  slivers: () =>
    damaged(([a, b, c]) => {
      const m = between(between(a, b, 0.5), c, 1e-5);
      return [
        [a, b, m],
        [b, c, m],
        [c, a, m],
        [a, b, between(a, b, 0.5)],
        [a, a, b],
      ];
    }),
  // A fan whose blades do not quite meet.
  cracks: () =>
    damaged(([a, b, c]) => {
      const m = middleOf([a, b, c]);
      return [
        [a, b, m],
        [b, c, lifted(m, 0.004)],
        [c, a, lifted(m, -0.004)],
      ];
    }),
  // An edge split on one side only.
  'T-junctions': () =>
    damaged(([a, b, c], index) => {
      if (index > 0) return [[a, b, c]];
      return [0.25, 0.5, 0.75, 1]
        .map((s, i) => [between(a, b, i / 4), between(a, b, s), c])
        .flatMap(([p, q, r]): Point[][] => [
          [p, q, between(q, r, 0.5)],
          [p, between(q, r, 0.5), r],
        ]);
    }),
  'duplicate facets': () => damaged((facet) => [facet, facet, facet]),
  'turned duplicates': () =>
    damaged(([a, b, c]) => [
      [a, b, c],
      [c, b, a],
    ]),
  // A closed box through the ground, standing 2 mm out of it, as if it had never been united with the block.
  'self-intersections': () => {
    const box = facetsOf(shapes.turned(shapes.box(4, 3, 6), 31)).map((facet) =>
      facet.map(([x, y, z]): Point => [x + 88, y, z - 4]),
    );
    return cornersOf([...facetsOf(clean()), ...box]);
  },
};

const ball = (DC: number) => ({ id: `B${DC}`, DC, RE: DC / 2, APMX: DC, LU: 60, NOF: 2 });
const SETUP: SetupFile = {
  cutters: { version: 1, cutters: [ball(12), ball(6), ball(4)] },
  ladderRule: 'largest-first',
  firstCutterShare: 0.3,
};

/** Tight places of the slots, in order of place. */
const slotPlaces = (places: Plan['reach']['tightRegions']): Plan['reach']['tightRegions'] =>
  places
    .filter(({ centreMm }) => centreMm[0] < 70)
    .toSorted((a, b) => a.centreMm[0] - b.centreMm[0] || a.centreMm[2] - b.centreMm[2]);

function expectFinite(value: unknown, path: string): void {
  if (typeof value === 'number') expect(Number.isFinite(value), path).toBe(true);
  else if (typeof value === 'object' && value !== null)
    for (const [key, one] of Object.entries(value)) expectFinite(one, `${path}.${key}`);
}

let reference: Plan;
beforeAll(async () => {
  ({ plan: reference } = await surveyShape(clean(), SETUP));
}, 600_000);

test('the clean part has places to compare, in both slots, and nothing on the ground', () => {
  expect(slotPlaces(reference.reach.tightRegions).length).toBeGreaterThanOrEqual(2);
  expect(reference.mesh.closed).toBe(true);
  expect(reference.ladder.length).toBeGreaterThanOrEqual(3);
});

describe.each(Object.keys(DAMAGE))('%s', (kind) => {
  let plan: Plan, text: string;
  beforeAll(async () => {
    const survey = await surveyShape(DAMAGE[kind](), SETUP);
    plan = survey.plan;
    text = String(survey.files.get('plan.json'));
  }, 600_000);

  test('no number that is none, in the plan and in plan.json', () => {
    expectFinite(plan, 'plan');
    expect(text).not.toMatch(/NaN|Infinity/);
    expectFinite(JSON.parse(text), 'plan.json');
    for (const { minutes, finishedAreaMm2, unreachedAreaMm2 } of plan.ladder) {
      for (const value of [minutes, finishedAreaMm2, unreachedAreaMm2]) expect(value).toBeTypeOf('number');
    }
  });

  test('the slots are reached as on the clean part', () => {
    for (const key of ['tightRegions', 'leftover'] as const) {
      const found = slotPlaces(plan.reach[key]),
        expected = slotPlaces(reference.reach[key]);
      expect(found.length, key).toBe(expected.length);
      expected.forEach((place, i) => {
        const own = found[i];
        expect(Math.abs(own.areaMm2 / place.areaMm2 - 1), key).toBeLessThan(0.005);
        expect(own.cutterId).toBe(place.cutterId);
        expect(Math.abs(Number(own.reachRadiusMm) - Number(place.reachRadiusMm))).toBeLessThan(0.02);
        own.boundsMm.min.forEach((x, k) => expect(Math.abs(x - place.boundsMm.min[k])).toBeLessThan(0.05));
        own.boundsMm.max.forEach((x, k) => expect(Math.abs(x - place.boundsMm.max[k])).toBeLessThan(0.05));
      });
    }
  });

  test('the same cutters in the same order', () => {
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(
      reference.ladder.map(({ cutterId }) => cutterId),
    );
  });

  if (kind !== 'self-intersections')
    test('nothing more is unreached on the whole part', () => {
      reference.reach.byRadius.forEach(({ unreachedAreaMm2, restVolumeMm3 }, i) => {
        const own = plan.reach.byRadius[i];
        expect(Math.abs(own.unreachedAreaMm2 - unreachedAreaMm2)).toBeLessThan(
          0.005 * unreachedAreaMm2 + 0.2,
        );
        // Columns over rest are drawn anew on other facets: each volume is good to a standard error of 0.8 %.
        expect(Math.abs((own.restVolumeMm3 ?? NaN) - (restVolumeMm3 ?? NaN))).toBeLessThan(
          0.025 * (restVolumeMm3 ?? NaN) + 0.2,
        );
      });
    });

  test('it is told, not passed over in silence', () => {
    expect(
      plan.findings.map(({ code }) => code).filter((code) => code.startsWith('mesh.')).length,
    ).toBeGreaterThan(0);
  });
});

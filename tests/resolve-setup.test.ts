import { expect, test } from 'vitest';
import { PartError } from '../src/core/errors.js';
import { resolveSetup, SETUP_DEFAULTS, type SetupFile } from '../src/resolve-setup.js';

const errorOf = (run: () => unknown): PartError => {
  try {
    run();
  } catch (error) {
    if (error instanceof PartError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};

test('without a file and without options every default holds', () => {
  expect(resolveSetup(undefined)).toEqual(SETUP_DEFAULTS);
  expect(SETUP_DEFAULTS.radiiMm).toEqual([0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10]);
});

test('options win over the file, the file over the defaults, key by key', () => {
  const setup = resolveSetup({ splitDeg: 50, overlapDeg: 5, unit: 'in' }, { splitDeg: 'auto' });
  expect(setup).toMatchObject({ splitDeg: 'auto', overlapDeg: 5, unit: 'in', toleranceMm: 0.02 });
});

test('null in an option puts back what the file took away', () => {
  expect(resolveSetup({ stepoverMm: 0.2 }, { stepoverMm: null }).stepoverMm).toBeNull();
});

test.each<[SetupFile['axis'], number[]]>([
  ['+z', [0, 0, 1]],
  ['-y', [0, -1, 0]],
  [
    [0, 3, 4],
    [0, 0.6, 0.8],
  ],
  [
    [2e200, 1e200, 2e200],
    [2 / 3, 1 / 3, 2 / 3],
  ],
])('axis %j becomes a unit vector', (axis, expected) => {
  const { axis: vector } = resolveSetup({ axis });
  expected.forEach((value, i) => expect(vector[i]).toBeCloseTo(value, 12));
});

test.each([
  [{ spltDeg: 40 }, 'setup.unknown-key', 's.json', 'did you mean "splitDeg"?'],
  [{ tolerance: 1 }, 'setup.unknown-key', 's.json', 'did you mean "toleranceMm"?'],
  [{ zzz: 1 }, 'setup.unknown-key', 's.json', 'known: '],
  [{ splitDeg: 91 }, 'setup.invalid', 's.json: splitDeg', 'correct'],
  [{ splitDeg: -1 }, 'setup.invalid', 's.json: splitDeg', 'correct'],
  [{ overlapDeg: 46 }, 'setup.invalid', 's.json: overlapDeg', 'correct'],
  [{ toleranceMm: 0 }, 'setup.invalid', 's.json: toleranceMm', 'correct'],
  [{ blendShare: 0.6 }, 'setup.invalid', 's.json: blendShare', 'correct'],
  [{ blendShare: -0.01 }, 'setup.invalid', 's.json: blendShare', 'correct'],
  [{ radiiMm: [3, 'x'] }, 'setup.invalid', 's.json: radiiMm.1', 'correct'],
  [{ axis: [0, 0, 0] }, 'setup.invalid', 's.json: axis', 'correct'],
  [{ stepdownMm: 1e-300 }, 'setup.invalid', 's.json: stepdownMm', 'correct'],
  [{ partDate: '2026-99-99' }, 'setup.invalid', 's.json: partDate', 'correct'],
  [{ partDate: '2026-02-29' }, 'setup.invalid', 's.json: partDate', 'correct'],
  [
    {
      within: [
        [
          [0, 0],
          [1e30, 0],
          [0, 1],
        ],
      ],
    },
    'setup.invalid',
    's.json: within.0.1.0',
    'correct',
  ],
  [{ material: 'Q' }, 'setup.invalid', 's.json: material', 'correct'],
  [
    { cutters: { version: 1, cutters: [{ id: 'a', dc: 3 }] } },
    'setup.unknown-key',
    's.json: cutters.cutters.0',
    '"DC"',
  ],
  [[], 'setup.invalid', 's.json', 'correct'],
  [{ machine: 'machine.json' }, 'setup.path', 's.json: machine', 'in its place'],
  [{ machine: { version: 1, maxRmp: 1 } }, 'setup.unknown-key', 's.json: machine', 'did you mean "maxRpm"?'],
  [{ machine: 3 }, 'setup.invalid', 's.json: machine', 'correct'],
])('refuses %j', (file, code, where, remedy) => {
  const { info } = errorOf(() => resolveSetup(file, {}, 's.json'));
  expect(info).toMatchObject({ code, where });
  expect(info.remedy).toContain(remedy);
});

test('says what it found and what it expected', () => {
  expect(errorOf(() => resolveSetup({ splitDeg: 91 }, {}, 's.json')).info.what).toBe(
    '91 found, at most 90 expected',
  );
  expect(errorOf(() => resolveSetup({ splitDeg: 'best' }, {}, 's.json')).info.what).toBe(
    '"best" found, "auto" expected',
  );
  expect(errorOf(() => resolveSetup({ unit: 'ft' }, {}, 's.json')).info.what).toBe(
    '"ft" found, one of "mm", "cm", "m", "in", "auto" expected',
  );
});

test('a wrong option is blamed on the option', () => {
  expect(errorOf(() => resolveSetup({}, { minRegionMm2: -1 })).info).toMatchObject({
    code: 'option.invalid',
    where: 'option: minRegionMm2',
  });
});

test('radii are those of the balls in the catalogue, unless given; sorted, each once', () => {
  const base = { DC: 6, APMX: 8, LU: 20, NOF: 2 };
  const cutters = {
    version: 1 as const,
    cutters: [
      { ...base, id: 'b6', RE: 3 },
      { ...base, id: 'b4', DC: 4, RE: 2 },
      { ...base, id: 'flat', RE: 0 },
    ],
  };
  expect(resolveSetup({ cutters }).radiiMm).toEqual([2, 3]);
  expect(resolveSetup({ cutters, radiiMm: [5, 1, 5] }).radiiMm).toEqual([1, 5]);
});

test('a catalogue without a cutter for finishing is refused', () => {
  const rough = { id: 'r', DC: 6, RE: 0, APMX: 8, LU: 20, NOF: 2, stages: ['rough' as const] };
  const { info } = errorOf(() => resolveSetup({ cutters: { version: 1, cutters: [rough] } }, {}, 's.json'));
  expect(info).toMatchObject({ code: 'cutters.none-finishes', where: 's.json' });
  expect(info.remedy).toContain('"finish"');
  const both = { ...rough, stages: ['rough' as const, 'finish' as const] };
  expect(resolveSetup({ cutters: { version: 1, cutters: [both] } }).cutters).toHaveLength(1);
});

test('more radii than one survey takes are refused, of cutters and to report together', () => {
  const ball = (DC: number) => ({ id: `b${DC}`, DC, RE: DC / 2, APMX: DC, LU: 2 * DC, NOF: 2 });
  const cutters = { version: 1 as const, cutters: Array.from({ length: 64 }, (_, i) => ball(i + 1)) };
  expect(resolveSetup({ cutters }).radiiMm).toHaveLength(64);
  const { info } = errorOf(() => resolveSetup({ cutters, radiiMm: [0.3] }, {}, 's.json'));
  expect(info).toMatchObject({ code: 'cutters.too-many-radii', where: 's.json' });
  expect(info.what).toContain('65 ball radii');
});

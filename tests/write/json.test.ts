import { expect, test } from 'vitest';
import { planJson, toJsonText } from '../../src/write/json.js';
import { samplePlan } from '../support/plan-sample.js';

test('the plan comes back as it went in, but for rounding', () => {
  const plan = samplePlan();
  const read: unknown = JSON.parse(planJson(plan));
  expect(read).toEqual({
    ...plan,
    regions: [
      {
        ...plan.regions[0],
        rings: [
          plan.regions[0].rings[0],
          [
            [1, 0.3333],
            [0, 2],
            [3, 3],
          ],
        ],
      },
    ],
  });
});

test('keys stand in the order of the design, however the plan was put together', () => {
  const plan = samplePlan();
  const backwards = Object.fromEntries(Object.entries(plan).reverse()) as typeof plan;
  expect(planJson(backwards)).toBe(planJson(plan));
  expect(Object.keys(JSON.parse(planJson(plan)))).toEqual([
    'version',
    'source',
    'setup',
    'mesh',
    'waysUp',
    'release',
    'holes',
    'findings',
    'classes',
    'passes',
    'regions',
    'reach',
    'notMilled',
    'ladder',
    'ladderSecond',
    'block',
    'stages',
    'crib',
    'operations',
    'ladderOneMore',
    'ladderLeftOut',
    'split',
    'time',
    'cautions',
  ]);
});

test.each([NaN, Infinity, -Infinity])('refuses %d and names the key', (bad) => {
  const plan = samplePlan();
  const wrong = { ...plan, mesh: { ...plan.mesh, areaMm2: bad } };
  expect(() => planJson(wrong)).toThrow('mesh.areaMm2');
  const regions = [
    {
      ...plan.regions[0],
      rings: [
        [
          [0, 0],
          [1, bad],
          [1, 1],
        ] as [number, number][],
      ],
    },
  ];
  expect(() => planJson({ ...plan, regions })).toThrow(RangeError);
  expect(() => toJsonText({ a: [bad] })).toThrow(RangeError);
});

test('numbers have 12 significant digits and no negative zero', () => {
  expect(toJsonText({ a: 0.1 + 0.2, b: -0, c: 123456789.12345679, d: 1e-9 })).toBe(
    '{"a": 0.3, "b": 0, "c": 123456789.123, "d": 1e-9}\n',
  );
});

// RFC 8259 section 7: quotes, backslashes and control characters must be escaped.
test('text, empty lists and lists of points', () => {
  const data = {
    'a"b': 'tab\t\u0001\\',
    none: [],
    nothing: {},
    points: [
      [1, 2],
      [3, 4],
    ],
    mixed: [1, 'x', null, true],
  };
  expect(JSON.parse(toJsonText(data))).toEqual(data);
  expect(toJsonText(data)).toContain('"points": [[1, 2], [3, 4]],\n');
});

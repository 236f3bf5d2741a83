import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import { catalogueJsonSchema } from '../../src/cutter/catalogue.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import { planJsonSchema } from '../../src/plan/plan.js';
import { setupJsonSchema } from '../../src/resolve-setup.js';
import { cuttingDataJsonSchema, PLACEHOLDER_CUTTING_DATA } from '../../src/time/cutting-data.js';
import { machineJsonSchema, PLACEHOLDER_MACHINE } from '../../src/time/machine.js';
import { planJson } from '../../src/write/json.js';
import { samplePlan } from '../support/plan-sample.js';

// JSON Schema 2020-12, checked by a validator that shares nothing with the one that made the schemas.
const compile = (schema: Record<string, unknown>): ValidateFunction =>
  new Ajv2020({ strict: true, strictTuples: false }).compile(schema);
const SCHEMAS = {
  plan: planJsonSchema,
  setup: setupJsonSchema,
  cutters: catalogueJsonSchema,
  machine: machineJsonSchema,
  'cutting-data': cuttingDataJsonSchema,
};

test.each(Object.entries(SCHEMAS))(
  '%s: dialect 2020-12, an id of its own without a fragment, a title',
  (name, schema) => {
    const { $schema, $id, title } = schema();
    expect($schema).toBe('https://json-schema.org/draft/2020-12/schema');
    expect($id).toBe(`https://scarp.invalid/schema/${name}-1.schema.json`);
    expect(title).toContain('version 1');
    expect(() => compile(schema())).not.toThrow();
  },
);

test('a written plan is valid', () => {
  const validate = compile(planJsonSchema());
  expect(validate(JSON.parse(planJson(samplePlan()))), JSON.stringify(validate.errors)).toBe(true);
});

test('later writers may add keys to a plan', () => {
  const plan = JSON.parse(planJson(samplePlan()));
  expect(compile(planJsonSchema())({ ...plan, later: 1, mesh: { ...plan.mesh, later: 1 } })).toBe(true);
});

// The keys that other tools read, as promised for version 1.
const PROMISED = [
  'version',
  'source.name',
  'source.format',
  'source.sha256',
  'source.bytes',
  'source.triangles',
  'source.unit',
  'setup.splitDeg',
  ...[
    'triangles',
    'vertices',
    'areaMm2',
    'volumeMm3',
    'boundsMm.min',
    'boundsMm.max',
    'closed',
    'openEdges',
    'nonManifoldEdges',
    'degenerateTriangles',
    'duplicateTriangles',
    'flippedTriangles',
    'shells',
  ].map((key) => `mesh.${key}`),
  ...['code', 'severity', 'message', 'count', 'whereMm'].map((key) => `findings.0.${key}`),
  ...['level', 'shallow', 'overlap', 'steep', 'undercut', 'hidden', 'underside', 'outside'].flatMap((name) =>
    ['areaMm2', 'planAreaMm2', 'regions'].map((key) => `classes.${name}.${key}`),
  ),
  ...['waterline', 'raster'].flatMap((name) =>
    ['areaMm2', 'spacingMm', 'pathLengthMm', 'maxScallopMm', 'minutes'].map((key) => `passes.${name}.${key}`),
  ),
  'passes.raster.directionDeg',
  ...['id', 'class', 'areaMm2', 'boundsMm', 'rings'].map((key) => `regions.0.${key}`),
  'reach.toleranceMm',
  'reach.smallestRadiusMm',
  ...['radiusMm', 'unreachedAreaMm2', 'restVolumeMm3', 'maxGapMm'].map((key) => `reach.byRadius.0.${key}`),
  ...['id', 'reachRadiusMm', 'areaMm2', 'centreMm', 'boundsMm', 'depthMm', 'cutterId'].map(
    (key) => `reach.tightRegions.0.${key}`,
  ),
  ...['cutterId', 'DC', 'RE', 'stage', 'finishedAreaMm2', 'unreachedAreaMm2', 'minutes', 'stickoutMm'].map(
    (key) => `ladder.0.${key}`,
  ),
  'split.angleDeg',
  'split.overlapDeg',
  'split.equalScallopDeg',
  'split.fastestDeg',
  'split.curve.0.angleDeg',
  'split.curve.0.minutes',
  'time.finishingMinutes',
  'time.toolChangeMinutes',
  'time.totalMinutes',
  'time.cost',
  'time.assumptions',
];

/** A copy without the key at a dotted path. */
function without(value: unknown, path: readonly string[]): unknown {
  if (typeof value !== 'object' || value === null) throw new Error(`nothing at ${path.join('.')}`);
  const [key, ...rest] = path;
  const entries = Object.entries(value);
  if (!entries.some(([name]) => name === key)) throw new Error(`no key ${key}`);
  const kept =
    rest.length === 0
      ? entries.filter(([name]) => name !== key)
      : entries.map(([name, item]) => [name, name === key ? without(item, rest) : item]);
  return Array.isArray(value) ? kept.map(([, item]) => item) : Object.fromEntries(kept);
}

test('every promised key is required', () => {
  const validate = compile(planJsonSchema());
  const plan: unknown = JSON.parse(planJson(samplePlan()));
  expect(PROMISED.filter((key) => validate(without(plan, key.split('.'))))).toEqual([]);
});

test.each([
  ['a class too few', { classes: { level: { areaMm2: 1, planAreaMm2: 1, regions: 1 } } }],
  ['an unknown unit', { source: { ...samplePlan().source, unit: 'yd' } }],
  [
    'null for no limit',
    {
      reach: {
        ...samplePlan().reach,
        byRadius: [{ radiusMm: 1, unreachedAreaMm2: 0, restVolumeMm3: 0, maxGapMm: null }],
      },
    },
  ],
  ['a negative area', { mesh: { ...samplePlan().mesh, areaMm2: -1 } }],
])('refuses %s', (_, change) => {
  const plan = JSON.parse(planJson(samplePlan()));
  expect(compile(planJsonSchema())({ ...plan, ...change })).toBe(false);
});

test('set-up files: every key may be left out, unknown ones may not be there', () => {
  const validate = compile(setupJsonSchema());
  const full = {
    splitDeg: 'auto',
    axis: '+x',
    unit: null,
    within: [
      [
        [0, 0],
        [1, 0],
        [1, 1],
      ],
    ],
    cutters: 'shop.json',
  };
  for (const file of [{}, full, { axis: [0, 0.6, 0.8] }, { machine: PLACEHOLDER_MACHINE }])
    expect(validate(file)).toBe(true);
  for (const file of [{ splitDeg: 91 }, { split: 1 }, { axis: 'up' }, { within: [[[0, 0]]] }])
    expect(validate(file)).toBe(false);
});

test('the default catalogue, machine and cutting data are valid files', () => {
  const cutters = DEFAULT_CATALOGUE.map(({ wearCostPerMinute: _none, ...entry }) => entry);
  expect(compile(catalogueJsonSchema())({ version: 1, cutters })).toBe(true);
  expect(compile(machineJsonSchema())(PLACEHOLDER_MACHINE)).toBe(true);
  expect(compile(cuttingDataJsonSchema())(PLACEHOLDER_CUTTING_DATA)).toBe(true);
});

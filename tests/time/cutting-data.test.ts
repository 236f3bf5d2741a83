import { expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import {
  cuttingDataFor,
  cuttingDataJsonSchema,
  PLACEHOLDER_CUTTING_DATA,
  readCuttingData,
} from '../../src/time/cutting-data.js';

const row = (DC: number, vcMPerMin: number, fzMm: number, stage = 'finish') => ({
  group: 'P',
  stage,
  DC,
  vcMPerMin,
  fzMm,
});
const rows = [row(10, 200, 0.1), row(6, 160, 0.06), row(2, 120, 0.02)];
const data = readCuttingData({ version: 1, rows }, 'f.json');

test('between two rows in diameter: a straight line; on a row: that row', () => {
  expect(cuttingDataFor(data, 'P', 'finish', 8)).toEqual({
    vcMPerMin: 180,
    fzMm: expect.closeTo(0.08, 12),
    fzMeans: 'programmed',
    findings: [],
  });
  expect(cuttingDataFor(data, 'P', 'finish', 6).vcMPerMin).toBe(160);
});

test('outside the rows the nearest one, and it says so', () => {
  const small = cuttingDataFor(data, 'P', 'finish', 1);
  expect([small.vcMPerMin, small.fzMm]).toEqual([120, 0.02]);
  expect(small.findings.map((f) => f.code)).toEqual(['cutting-data.outside-rows']);
  expect(cuttingDataFor(data, 'P', 'finish', 12).fzMm).toBe(0.1);
});

test('another stage stands in, and it says so; another group never does', () => {
  const other = cuttingDataFor(data, 'P', 'rough', 6);
  expect(other.findings.map((f) => f.code)).toEqual(['cutting-data.other-stage']);
  expect(other.findings[0].message).toContain('finish');
  expect(() => cuttingDataFor(data, 'H', 'finish', 6)).toThrow(PartError);
});

test('the placeholders serve every group and stage, and warn', () => {
  for (const group of ['P', 'M', 'K', 'N', 'S', 'H'] as const) {
    const found = cuttingDataFor(PLACEHOLDER_CUTTING_DATA, group, 'semi-finish', 3);
    expect(found.findings.map((f) => f.code)).toEqual(['cutting-data.placeholder']);
    expect(found.fzMm).toBeGreaterThan(0);
  }
  const file: unknown = JSON.parse(JSON.stringify(PLACEHOLDER_CUTTING_DATA));
  expect(readCuttingData(file, 'x')).toEqual(PLACEHOLDER_CUTTING_DATA);
});

test('a file with a wrong key or value is refused by name', () => {
  const misspelt = [{ ...row(6, 100, 0.05), fz: 1 }];
  expect(() => readCuttingData({ version: 1, rows: misspelt }, 'a.json')).toThrow(/a\.json.*fz/);
  expect(() => readCuttingData({ version: 1, rows: [row(6, -100, 0.05)] }, 'a.json')).toThrow(/vcMPerMin/);
  expect(() => readCuttingData({ version: 1, rows: [] }, 'a.json')).toThrow(PartError);
  expect(Object.keys(cuttingDataJsonSchema())).toContain('properties');
});

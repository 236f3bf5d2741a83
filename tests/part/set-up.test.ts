import { describe, expect, test } from 'vitest';
import type { Soup } from '../../src/core/soup.js';
import { coordinateFindings, placePart, unitFindings } from '../../src/part/set-up.js';
import * as shapes from '../support/shapes.js';

type Vector = readonly [number, number, number];
const box = shapes.moved(shapes.box(3, 5, 7), [1, 2, 3]);
const apply = (m: readonly number[], [x, y, z]: Vector): number[] =>
  [0, 1, 2].map((i) => m[i] * x + m[4 + i] * y + m[8 + i] * z + m[12 + i]);

describe('the tool axis', () => {
  const MAIN: Vector[] = [
    [0, 0, 1],
    [0, 0, -1],
    [1, 0, 0],
    [-1, 0, 0],
    [0, 1, 0],
    [0, -1, 0],
  ];
  test.each(MAIN)('%d,%d,%d turns up exactly', (...axis) => {
    const { points: corners, matrix } = placePart(box, { axis, stand: false });
    expect(apply(matrix, axis)).toEqual([0, 0, 1]);
    matrix.forEach((entry) => {
      expect([0, 1, -1]).toContain(entry);
      expect(Object.is(entry, -0)).toBe(false);
    });
    const sides = shapes.measureSoup(corners);
    expect(sides.volume).toBe(105);
  });

  const random = shapes.randomNumbers(11);
  const directions = Array.from(
    { length: 40 },
    (): Vector => [random() - 0.5, random() - 0.5, random() - 0.5],
  );
  test('any direction (seed 11): a proper rotation that takes it to +Z', () => {
    for (const axis of [...directions, [1e-9, 0, -1], [0, 1e-300, -1], [3, 4, 0]] as Vector[]) {
      const { points: corners, matrix: m } = placePart(box, { axis, stand: false });
      const length = Math.sqrt(axis[0] ** 2 + axis[1] ** 2 + axis[2] ** 2);
      apply(m, axis).forEach((x, i) => expect(x / length).toBeCloseTo(i === 2 ? 1 : 0, 13));
      for (let i = 0; i < 3; i++) {
        for (let j = 0; j < 3; j++) {
          const dot = m[4 * i] * m[4 * j] + m[4 * i + 1] * m[4 * j + 1] + m[4 * i + 2] * m[4 * j + 2];
          expect(dot).toBeCloseTo(i === j ? 1 : 0, 13);
        }
      }
      // A reflection would make the volume negative.
      expect(shapes.measureSoup(corners).volume).toBeCloseTo(105, 10);
    }
  });

  test('without a direction is refused', () => {
    expect(() => placePart(box, { axis: [0, 0, 0], stand: true })).toThrow(RangeError);
    expect(() => placePart(box, { axis: [NaN, 0, 1], stand: true })).toThrow(RangeError);
  });
});

test('stands on Z = 0, X and Y kept, and the matrix says where everything went', () => {
  const input = box.slice();
  for (const axis of [
    [0, 0, 1],
    [0, 0, -1],
    [1, 2, -3],
  ] as Vector[]) {
    const { points: corners, matrix } = placePart(box, { axis, stand: true });
    const free = placePart(box, { axis, stand: false }).points;
    let lowest = Infinity;
    for (let p = 0; p < corners.length; p += 3) {
      expect([corners[p], corners[p + 1]]).toEqual([free[p], free[p + 1]]);
      apply(matrix, [box[p], box[p + 1], box[p + 2]]).forEach((x, i) =>
        expect(x).toBeCloseTo(corners[p + i], 12),
      );
      lowest = Math.min(lowest, corners[p + 2]);
    }
    expect(lowest).toBe(0);
  }
  expect(box).toEqual(input);
});

describe('units', () => {
  const sized = (largest: number): Float64Array => shapes.box(largest, largest / 2, largest / 3);
  test.each([3, 50, 3000])('%d mm is no doubt', (largest) => {
    expect(unitFindings(sized(largest), 'mm')).toEqual([]);
  });

  // ISO 31-1: 1 in = 25.4 mm. 0.2286 m and 2.95 in are sizes of real plates; 40 m is 40 mm written as metres.
  test.each([
    [0.2286, 'mm', ['metres', '228.6 mm'], ['inches']],
    [2.95, 'mm', ['inches', '74.93 mm', 'centimetres'], []],
    [40_000, 'm', ['millimetres', '40 mm'], []],
    [5000, 'mm', ['micrometres', '5 mm'], ['inches', ' metres (']],
    [5e7, 'mm', ['check the unit'], ['(unit']],
    [120_000, 'mm', ['micrometres', '120 mm'], ['inches']],
  ] as const)('%d mm read as %s: the likely units are named', (largest, unit, named, not) => {
    const [finding] = unitFindings(sized(largest), unit);
    expect(finding).toMatchObject({ code: 'unit.implausible', severity: 'warning' });
    named.forEach((word) => expect(finding.message).toContain(word));
    not.forEach((word) => expect(finding.message).not.toContain(word));
  });
});

// IEEE 754 binary32: neighbouring numbers from 2^17 to 2^18 are 2^-6 apart.
test('far from the origin, the step of stored coordinates is a finding', () => {
  const source = {
    name: '',
    format: 'stl-binary',
    sha256: '',
    bytes: 0,
    triangles: 12,
    unit: 'mm',
    unitFrom: 'default',
  } as const;
  const at = (x: number): Soup => ({ corners: shapes.moved(box, [x, 0, 0]), source, findings: [] });
  expect(coordinateFindings(at(1000))).toEqual([]);
  const [finding] = coordinateFindings(at(150_000));
  expect(finding.code).toBe('mesh.coarse-coordinates');
  expect(finding.message).toContain('0.01563 mm');
  expect(coordinateFindings({ ...at(150_000), source: { ...source, format: 'stl-ascii' } })).toEqual([]);
});

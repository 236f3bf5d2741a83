import { describe, expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { prepareMesh, type PrepareOptions } from '../../src/part/prepare.js';
import type { Soup } from '../../src/core/soup.js';
import * as shapes from '../support/shapes.js';
import { soupOf as bareSoup } from '../support/soup-of.js';
import { assertValidTopology } from '../support/valid-topology.js';

const soupOf = (corners: Float64Array): Soup => ({
  ...bareSoup(corners),
  findings: [{ code: 'read.trailing-bytes', severity: 'info', message: 'before', count: 1, whereMm: null }],
});
const prepare = (corners: Float64Array, options: Partial<PrepareOptions> = {}) =>
  prepareMesh(soupOf(corners), { axis: [0, 0, 1], stand: true, ...options });
const codes = (corners: Float64Array): string[] =>
  prepare(corners)
    .findings.map(({ code }) => code)
    .slice(1);

describe('a clean part', () => {
  // Closed forms: a frustum of a cone of n sides, by the prismatoid formula, and a box.
  test('measures as its closed form, wherever it lies', () => {
    for (const by of [
      [0, 0, 0],
      [1e4, -2e4, 5e3],
    ] as const) {
      const { health, findings, mesh, topology, sourceFace } = prepare(
        shapes.moved(shapes.box(30, 20, 10), by),
      );
      expect(health).toMatchObject({
        triangles: 12,
        vertices: 8,
        closed: true,
        openEdges: 0,
        nonManifoldEdges: 0,
        degenerateTriangles: 0,
        duplicateTriangles: 0,
        flippedTriangles: 0,
        shells: 1,
        boundsMm: { min: [by[0], by[1], 0], max: [by[0] + 30, by[1] + 20, 10] },
      });
      expect(health.volumeMm3).toBeCloseTo(6000, 8);
      expect(health.areaMm2).toBeCloseTo(2200, 9);
      expect(findings.map(({ code }) => code).filter((code) => !code.startsWith('mesh.coarse'))).toEqual([
        'read.trailing-bytes',
      ]);
      assertValidTopology(mesh, topology);
      expect([...sourceFace]).toEqual([...Array(12).keys()]);
    }
  });

  test('on another axis stands on its side', () => {
    const { health, matrix } = prepare(shapes.box(30, 20, 10), { axis: [1, 0, 0] });
    expect(health.boundsMm).toEqual({ min: [-10, 0, 0], max: [0, 20, 30] });
    expect(matrix).toEqual([0, 0, 1, 0, 0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 0, 1]);
  });

  test('tells its progress and can be stopped', () => {
    const seen: number[] = [];
    prepareMesh(
      soupOf(shapes.box(30, 20, 10)),
      { axis: [0, 0, 1], stand: true },
      { progress: (_, fraction) => seen.push(fraction) },
    );
    expect(seen).toEqual([...seen].sort((p, q) => p - q));
    expect(seen.at(-1)).toBe(1);
    const stopped = AbortSignal.abort(new Error('stop'));
    expect(() =>
      prepareMesh(soupOf(shapes.box(1, 1, 1)), { axis: [0, 0, 1], stand: true }, { signal: stopped }),
    ).toThrow('stop');
  });
});

describe('whatever is repaired or doubtful is told, with a count and a place', () => {
  const box = shapes.box(30, 20, 10);
  const swapped = (f: number): Float64Array => {
    const out = box.slice();
    out.set(box.subarray(9 * f + 3, 9 * f + 6), 9 * f + 6);
    out.set(box.subarray(9 * f + 6, 9 * f + 9), 9 * f + 3);
    return out;
  };
  const cases: [string, Float64Array, string, number][] = [
    ['degenerate', shapes.joined(box, Float64Array.of(0, 0, 0, 0, 0, 0, 1, 1, 1)), 'mesh.degenerate', 1],
    ['duplicate', shapes.joined(box, box.slice(0, 18)), 'mesh.duplicate', 2],
    ['open', box.slice(9), 'mesh.open-edges', 3],
    ['flipped', swapped(5), 'mesh.flipped', 1],
    ['several shells', shapes.joined(box, shapes.moved(box, [100, 0, 0])), 'mesh.several-shells', 2],
    ['a vertex off by a micron', box.map((x, i) => (i < 3 ? x + 0.001 : x)), 'mesh.cracks-joined', 1],
    ['tiny', box.map((x) => x / 25.4), 'unit.implausible', 1],
  ];
  test.each(cases)('%s', (_, corners, code, count) => {
    expect(codes(corners)).toEqual([code]);
    const finding = prepare(corners).findings[1];
    expect(finding.count).toBe(count);
    if (code !== 'unit.implausible') {
      expect(finding.whereMm).not.toBeNull();
      const { min, max } = prepare(corners).health.boundsMm;
      finding.whereMm?.forEach((x, i) => expect(x >= min[i] - 1e-9 && x <= max[i] + 1e-9).toBe(true));
    }
  });

  test('two boxes that meet in an edge', () => {
    expect(codes(shapes.joined(box, shapes.moved(box, [30, 20, 0])))).toEqual([
      'mesh.non-manifold',
      'mesh.several-shells',
    ]);
  });

  test('an open part has no volume', () => {
    expect(prepare(box.slice(9)).health).toMatchObject({ volumeMm3: null, closed: false, openEdges: 3 });
  });
});

test('nothing left is refused', () => {
  const line = Float64Array.of(0, 0, 0, 1, 1, 1, 2, 2, 2);
  let error: unknown;
  try {
    prepare(line);
  } catch (reason) {
    error = reason;
  }
  expect(error instanceof PartError && error.info.code).toBe('mesh.empty');
});

test('the same part in another order of facets measures the same (seed 8)', () => {
  const corners = shapes.roundPocket({ segments: 24, filletFacets: 3 });
  const a = prepare(corners).health,
    b = prepare(shapes.permuted(corners, 8)).health;
  expect(b.areaMm2 / a.areaMm2).toBeCloseTo(1, 13);
  expect((b.volumeMm3 ?? 0) / (a.volumeMm3 ?? 1)).toBeCloseTo(1, 13);
  expect({ ...b, areaMm2: 0, volumeMm3: 0 }).toEqual({ ...a, areaMm2: 0, volumeMm3: 0 });
});

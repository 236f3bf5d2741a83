import { expect, test } from 'vitest';
import { crumbLimits, dropCrumbs } from '../../src/outlines/drop-crumbs.js';

// Aligned with no axis.
const [COS, SIN] = [Math.cos(0.3), Math.sin(0.3)];
/** A rectangle, counter-clockwise; a hole runs the other way. */
function box(x: number, y: number, width: number, height: number, isHole = false): Float64Array {
  const corners = [
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
  ].map(([u, v]) => [COS * u - SIN * v, SIN * u + COS * v]);
  return Float64Array.from((isHole ? corners.reverse() : corners).flat());
}

// Of a cutter of DC 6 with half a percent: 0.03 mm wide, 0.6 mm square.
const limits = crumbLimits(0.005, { DC: 6 });
const large = box(0, 0, 20, 20),
  hole = box(2, 2, 5, 5, true),
  pinhole = box(10, 10, 0.3, 0.3, true),
  slit = box(10, 2, 0.01, 9, true),
  island = box(3, 3, 2, 2),
  crumb = box(30, 0, 0.5, 0.5),
  needle = box(30, 5, 7, 0.02),
  strip = box(30, 10, 12, 0.2);

test('limits follow the cutter', () => {
  expect(limits.leastWidthMm).toBeCloseTo(0.03, 12);
  expect(limits.leastAreaMm2).toBeCloseTo(0.36, 12);
});

test('crumbs and needles go, holes like them are filled, and both are told with their area; strips stay', () => {
  const { rings, findings } = dropCrumbs(
    [large, hole, pinhole, slit, island, crumb, needle, strip],
    'a region',
    limits,
  );
  expect(new Set(rings)).toEqual(new Set([large, hole, island, strip]));
  expect(findings).toMatchObject([{ code: 'outlines.crumbs', severity: 'info', count: 4 }]);
  // 0.5² + 7 · 0.02 left out, 0.3² + 0.01 · 9 filled.
  expect(findings[0].message).toContain('0.39 mm² in plan are left out, holes of 0.18 mm² filled');
});

test('a region is as wide as what lies between its border and its holes', () => {
  const ring = [box(0, 0, 10, 10), box(0.01, 0.01, 9.98, 9.98, true)];
  // Area over half the length of both borders: about 0.01.
  expect(dropCrumbs(ring, 'a wall', limits).rings).toEqual([]);
  const wider = [box(0, 0, 10, 10), box(0.05, 0.05, 9.9, 9.9, true)];
  expect(dropCrumbs(wider, 'a wall', limits)).toEqual({
    rings: wider,
    goneMm2: 0,
    filledMm2: 0,
    findings: [],
  });
});

test('a hole that holds a piece of worth is not filled', () => {
  const tight = [large, box(4, 4, 2.02, 2.02, true), box(4.01, 4.01, 2, 2)];
  expect(dropCrumbs(tight, 'a region', { leastWidthMm: 0.03, leastAreaMm2: 3 }).rings).toHaveLength(3);
});

test('a share of 0 leaves all as it is', () => {
  const rings = [large, crumb, needle];
  expect(dropCrumbs(rings, 'a region', crumbLimits(0, { DC: 6 }))).toMatchObject({ rings, findings: [] });
});

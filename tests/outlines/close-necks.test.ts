import { beforeAll, expect, test } from 'vitest';
import { loadClipper, type Clipper } from '../../src/outlines/clipper.js';
import { closeNecks, NECK_DEFAULTS } from '../../src/outlines/close-necks.js';
import type { Rings } from '../../src/outlines/ring-measures.js';

let clipper: Clipper;
beforeAll(async () => {
  clipper = await loadClipper();
});

const box = (x: number, y: number, w: number, h: number) =>
  Float64Array.of(x, y, x + w, y, x + w, y + h, x, y + h);
/** Two plates of 20 x 20 joined by a bridge 4 long and `w` wide. */
const dumbbell = (w: number): Rings => [
  Float64Array.of(
    0,
    0,
    20,
    0,
    20,
    10 - w / 2,
    24,
    10 - w / 2,
    24,
    0,
    44,
    0,
    44,
    20,
    24,
    20,
    24,
    10 + w / 2,
    20,
    10 + w / 2,
    20,
    20,
    0,
    20,
  ),
];
const close = (rings: Rings, stepovers: number) =>
  closeNecks(rings, 'steep region 3', clipper, { ...NECK_DEFAULTS, stepovers, stepoverMm: 0.5 });
const movedMm2 = (message: string) => Number(/: ([\d.]+) mm²/.exec(message)![1]);

test('a neck narrower than two stepovers of 0.5 parts, a wider one stays', () => {
  const parted = close(dumbbell(0.9), 2);
  expect(parted.rings).toHaveLength(2);
  const [finding] = parted.findings.filter((one) => one.code === 'outlines.neck-opened');
  // The bridge, 4 x 0.9 = 3.6; a disc of 0.5 enters each end by its radius at most; corners lose (1 - pi/4)
  // r^2 each.
  expect(movedMm2(finding.message)).toBeGreaterThan(3.6 - 2 * 0.5 * 0.9);
  expect(movedMm2(finding.message)).toBeLessThan(3.6 + 8 * (1 - Math.PI / 4) * 0.25);
  expect(close(dumbbell(1.1), 2).rings).toHaveLength(1);
});

test('a gap narrower than the width is filled, a wider one stays', () => {
  const joined = close([box(0, 0, 10, 10), box(10.9, 0, 10, 10)], 2);
  expect(joined.rings).toHaveLength(1);
  const [finding] = joined.findings.filter((one) => one.code === 'outlines.neck-closed');
  // Gap of 0.9 x 10 = 9, less the two ends that a disc of 0.5 does not fill.
  expect(movedMm2(finding.message)).toBeGreaterThan(8.4);
  expect(movedMm2(finding.message)).toBeLessThan(9);
  expect(close([box(0, 0, 10, 10), box(11.1, 0, 10, 10)], 2).rings).toHaveLength(2);
});

test('off by default; a width that is none is refused', () => {
  const rings = dumbbell(0.1);
  expect(close(rings, NECK_DEFAULTS.stepovers)).toEqual({ rings, findings: [] });
  expect(() => close(rings, -1)).toThrow(RangeError);
  expect(() => close(rings, NaN)).toThrow(RangeError);
});

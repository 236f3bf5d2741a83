/** The bench of whole surveys cannot rot: one small part is measured, and what changes is told. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { inlineEngine } from '../../src/reach/reach-engine.js';
import { throughSlot } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import { measurePart } from './measure-part.js';
import { changesFrom } from './part-figures.js';

test('a slot: how many facets there are after classes and refinement, what was asked, and how long it took', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'scarp-bench-'));
  try {
    const path = join(folder, 'slot.stl');
    const corners = throughSlot(4, 6, 20);
    writeFileSync(path, binaryStl(corners));
    const figures = await measurePart(path, inlineEngine);
    expect(figures).toMatchObject({ part: 'slot.stl', facets: corners.length / 9 });
    expect(figures.facetsClassed).toBeGreaterThanOrEqual(figures.facets);
    expect(figures.facetsRefined).toBeGreaterThan(figures.facetsClassed);
    expect(figures.waves).toBeGreaterThan(1);
    // Each corner that is new was asked about, but for what the height grid settles.
    expect(figures.pointsAsked).toBeGreaterThan((figures.facetsRefined - figures.facetsClassed) / 4);
    const told = Object.values(figures.stages).reduce((sum, seconds) => sum + seconds, 0);
    expect(told).toBeCloseTo(figures.wallSeconds, 1);
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test('more than a tenth more or less is told, a tenth is not', () => {
  const before = {
    part: 'a',
    facets: 10,
    facetsClassed: 10,
    facetsRefined: 100,
    pointsAsked: 1000,
    waves: 10,
    wallSeconds: 1,
    cpuSeconds: 2,
    memoryMB: 200,
    stages: {},
    cpu: 4,
  };
  expect(changesFrom(undefined, before)).toEqual(['not in the baseline']);
  expect(changesFrom(before, { ...before, wallSeconds: 9, memoryMB: 219, cpu: 3.7 })).toEqual([]);
  expect(changesFrom(before, { ...before, pointsAsked: 1110, cpu: 3 })).toEqual([
    'cpu -25 %: 4 before, 3 now',
    'pointsAsked +11 %: 1000 before, 1110 now',
  ]);
});

import { describe, expect, test } from 'vitest';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  taperedBallProfile,
} from '../../src/cutter/cutter-profile.js';
import type { PlanLattice } from '../../src/stages/plan-lattice.js';
import { clearedHeights, lowestTips } from '../../src/stages/tool-envelope.js';
import { randomNumbers } from '../support/shapes/variants.js';

const PITCH = 0.25;
const lattice: PlanLattice = { u0: 0, v0: 0, pitchMm: PITCH, columns: 57, rows: 49 };
const nodes = lattice.columns * lattice.rows;
const CUTTERS = [
  ['a ball of R 2', ballProfile(2)],
  ['a ball of R 0.3', ballProfile(0.3)],
  ['a flat end of R 1.5', flatProfile(1.5)],
  ['a bull-nose of R 2, RE 0.5', bullNoseProfile(2, 0.5)],
  ['a tapered ball of RE 0.6, 12 degrees', taperedBallProfile(2, 0.6, (12 * Math.PI) / 180)],
] as const;

/** (rows, columns) heights by place. */
const heightsOf = (height: (i: number, j: number) => number): Float32Array =>
  Float32Array.from({ length: nodes }, (_, node) =>
    height(node % lattice.columns, Math.floor(node / lattice.columns)),
  );
const random = randomNumbers(7);
const GROUNDS = [
  ['noise', heightsOf(() => 3 * random())],
  ['level ground', heightsOf(() => 1.5)],
  ['stairs and walls', heightsOf((i, j) => Math.floor(i / 9) + (j > 20 && j < 31 ? 4 : 0))],
  ['a dome on a slope', heightsOf((i, j) => 0.2 * i + Math.max(0, 6 - ((i - 28) ** 2 + (j - 24) ** 2) / 30))],
  ['ground with holes in it', heightsOf((i, j) => ((i * j) % 7 === 0 ? -Infinity : Math.sin(i) + j / 9))],
] as const;

describe.each(CUTTERS)('%s', (_, profile) => {
  // A dilation is the highest of what its single points make (ISO 16610-41, from memory): one point alone shows the
  // cutter upside down, and every point of a ground is tried with it.
  const middle = Math.floor(nodes / 2);
  const alone = lowestTips(
    heightsOf(() => -Infinity).map((_, node) => (node === middle ? 0 : -Infinity)),
    lattice,
    profile,
  );
  const parts: { readonly dx: number; readonly dy: number; readonly drop: number }[] = [];
  alone.forEach((drop, node) => {
    if (drop > -Infinity)
      parts.push({
        dx: (node % lattice.columns) - (middle % lattice.columns),
        dy: Math.floor(node / lattice.columns) - Math.floor(middle / lattice.columns),
        drop,
      });
  });

  test('a point alone shows the cutter, to half a pitch', () => {
    const widest = Math.max(...parts.map(({ dx, dy }) => PITCH * Math.sqrt(dx * dx + dy * dy)));
    expect(Math.abs(widest - profile.radiusMm)).toBeLessThan(0.62 * PITCH);
    expect(parts.find(({ dx, dy }) => dx === 0 && dy === 0)?.drop).toBeCloseTo(0, 9);
    if (profile.kind !== 'ball') return;
    for (const { dx, dy, drop } of parts) {
      // R - √(R² - d²), d being known to what a round of lattice points is taken wider.
      const at = (shift: number): number =>
        Math.sqrt(
          Math.max(
            0,
            profile.radiusMm ** 2 - Math.max(0, PITCH * (Math.sqrt(dx * dx + dy * dy) - shift)) ** 2,
          ),
        ) - profile.radiusMm;
      expect(drop).toBeLessThanOrEqual(at(0.5) + 1e-6);
      expect(drop).toBeGreaterThanOrEqual(at(0) - 1e-6);
    }
  });

  test.each(GROUNDS)('over %s it stands as if all places were tried', (_, heights) => {
    const found = lowestTips(heights, lattice, profile);
    for (let node = 0; node < nodes; node++) {
      const i = node % lattice.columns,
        j = Math.floor(node / lattice.columns);
      let most = -Infinity;
      for (const { dx, dy, drop } of parts) {
        if (i - dx < 0 || j - dy < 0 || i - dx >= lattice.columns || j - dy >= lattice.rows) continue;
        most = Math.max(most, heights[node - dy * lattice.columns - dx] + drop);
      }
      if (most === -Infinity) expect(found[node]).toBe(-Infinity);
      else expect(Math.abs(found[node] - most), `${i}, ${j}`).toBeLessThan(1e-5);
    }
  });

  test.each(GROUNDS)('what it clears of %s is nowhere below it, and no lower a second time', (_, heights) => {
    const tips = lowestTips(heights, lattice, profile);
    const stock = heights.map(() => 9);
    const cleared = clearedHeights(tips, lattice, profile, stock);
    // A closing is extensive and idempotent (as above).
    cleared.forEach((height, node) => expect(height).toBeGreaterThanOrEqual(heights[node] - 1e-5));
    const again = clearedHeights(lowestTips(cleared, lattice, profile), lattice, profile, stock);
    again.forEach((height, node) => {
      if (height < Infinity) expect(Math.abs(height - cleared[node])).toBeLessThan(1e-4);
    });
  });
});

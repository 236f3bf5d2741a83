import { describe, expect, test } from 'vitest';
import { columnTop } from '../../src/reach/column-top.js';
import { openPlan } from '../../src/reach/open-plan.js';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import type { PartTree } from '../../src/reach/part-tree.js';
import * as shapes from '../support/shapes.js';
import { heightOver, partOf } from './part.js';
import { seededRandom } from './random.js';

const treeOf = (corners: Float64Array): PartTree => {
  const { mesh } = partOf(corners);
  return buildPartTree(meshFacets(mesh));
};

test.each([
  ['ball', shapes.icosphere(10, 3)],
  ['T-slot', shapes.turned(shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 }), 12)],
  ['bore, far away', shapes.moved(shapes.bore(5, 12, 31, true), [1e4, -7e3, 25])],
] as const)(
  '%s: the height over a point is the one that trying every facet finds, 500 points, seed 3',
  (_, corners) => {
    const random = seededRandom(3);
    const { mesh } = partOf(corners);
    const { min, max } = shapes.measureSoup(corners);
    const top = columnTop(treeOf(corners));
    let over = 0;
    for (let n = 0; n < 500; n++) {
      const [x, y] = [0, 1].map((i) => min[i] - 2 + (max[i] - min[i] + 4) * random());
      const expected = heightOver(mesh, x, y);
      if (expected === -Infinity) expect(top(x, y)).toBe(-Infinity);
      else expect(top(x, y)).toBeCloseTo(expected, 4);
      if (expected > -Infinity) over++;
    }
    expect(over).toBeGreaterThan(150);
  },
);

describe('openPlan', () => {
  test('beside a block is open, a through hole and the part itself are not', () => {
    const open = openPlan(treeOf(shapes.turned(shapes.bore(5, 12, 48, true), 8)));
    expect([open(0, 0), open(4.5, 0), open(12, 0)]).toEqual([false, false, false]);
    expect([open(60, 0), open(0, -40), open(23, 23)]).toEqual([true, true, true]);
  });

  test('a slot open at its ends is open from end to end when it cuts the part in two in plan', () => {
    const halves = shapes.joined(shapes.box(10, 40, 5), shapes.moved(shapes.box(10, 40, 5), [14, 0, 0]));
    const open = openPlan(treeOf(halves));
    expect(open(12, 20)).toBe(true);
    expect(open(5, 20)).toBe(false);
  });
});

import { describe, expect, test } from 'vitest';
import { boundsOf } from '../../src/core/bounds.js';
import { boxOfSize, cylinderAbout } from '../../src/stages/block.js';
import { maskRings } from '../../src/stages/mask-rings.js';
import { ringArea, ringLength } from '../../src/outlines/ring-measures.js';
import { nodeAt, planLattice, topHeights, turnedPositions } from '../../src/stages/plan-lattice.js';
import { piecesOf } from '../../src/stages/slice-times.js';
import { stockField, volumeBetween } from '../../src/stages/stock-field.js';
import { columnTop } from '../../src/reach/column-top.js';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import { partOf } from '../reach/part.js';
import { refusalOf } from '../support/refusal.js';
import * as shapes from '../support/shapes.js';
import { fieldOf, FLUSH, meshBlock, plainBox } from './field.js';

test('heights are those over the middles of the cells', () => {
  const { mesh } = partOf(shapes.turned(shapes.domeOnPlate(9, 30, 40), 12));
  const turned = { ...mesh, positions: turnedPositions(mesh.positions) };
  const lattice = planLattice(boundsOf(turned.positions), 0.37, 1);
  const top = columnTop(buildPartTree(meshFacets(mesh)));
  let over = 0;
  topHeights(turned, lattice).forEach((height, node) => {
    const exact = top(...nodeAt(lattice, node));
    if (exact === -Infinity || height === -Infinity) return;
    over++;
    expect(Math.abs(height - exact)).toBeLessThan(1e-4);
  });
  expect(over).toBeGreaterThan(5000);
});

describe('a block that the part stands out of is refused', () => {
  const part = shapes.domeOnPlate(10, 30, 48);
  const bounds = boundsOf(part);
  test.each([
    ['too low', boxOfSize(bounds, [30, 30, 19]), /1 mm out of it along Z/],
    ['too narrow', boxOfSize(bounds, [30, 28, 20]), /1 mm out of it along Y/],
    ['elsewhere', meshBlock(shapes.moved(plainBox(40, 40, 30), [100, 0, 15])), /out of it along X/],
    [
      'with its corners cut off',
      { ...cylinderAbout(part, FLUSH), radiusMm: 15 } as ReturnType<typeof cylinderAbout>,
      /stands beside it at/,
    ],
    [
      'with a hole where the part is',
      meshBlock(shapes.moved(shapes.boxPocket({ width: 10, length: 10, depth: 5, land: 10 }), [0, 0, 10])),
      /mm out of it at|along/,
    ],
  ])('%s', async (_, block, message) => {
    const info = await refusalOf(Promise.resolve().then(() => fieldOf(part, block)));
    expect(info.code).toBe('block.small');
    expect(info.what).toMatch(message);
    expect(info.remedy).toMatch(/larger block/);
  });

  test('one that is flush within the chords is not', () => {
    const [r, h] = [12, 20];
    const pin = shapes.frustum(r, r, h, 64),
      blank = shapes.frustum(r, r, h + 2, 48);
    expect(() => fieldOf(pin, meshBlock(blank))).not.toThrow();
  });
});

test('a hole that is left to the drill counts as full up to its mouth', () => {
  const corners = shapes.bore(6, 15, 64, true);
  const { mesh } = partOf(corners),
    bounds = boundsOf(mesh.positions);
  const hole = { topMm: [0, 0, bounds.max[2]] as const, radiusMm: 6.01 };
  const field = (plugs: readonly (typeof hole)[]) =>
    stockField({
      mesh,
      block: { kind: 'box', bounds },
      nodes: 60_000,
      marginMm: 5,
      isWork: null,
      plugs,
      where: 'block',
    });
  const [open, full] = [field([]), field([hole])].map((own) => volumeBetween(own, own.block, own.part));
  // π r² h of the cylinder that the bore takes out of its block.
  expect(open / (Math.PI * 36 * (bounds.max[2] - bounds.min[2]))).toBeCloseTo(1, 2);
  expect(full).toBeLessThan(1e-3 * open);
});

test('what lies outside the asked plan is not cut', () => {
  const { mesh } = partOf(plainBox(40, 30, 10));
  const field = stockField({
    mesh,
    block: { kind: 'box', bounds: { min: [-20, -15, -10], max: [20, 15, 2] } },
    nodes: 60_000,
    marginMm: 5,
    isWork: (x) => x > 4,
    where: 'block',
  });
  expect(volumeBetween(field, field.block, field.part) / (16 * 30 * 2)).toBeCloseTo(1, 2);
});

describe('outlines of a mask', () => {
  const lattice = planLattice({ min: [0, 0, 0], max: [40, 40, 0] }, 0.1, 1);
  const [cx, cy] = nodeAt(lattice, Math.floor(lattice.rows / 2) * lattice.columns + (lattice.columns >> 1));
  const masked = (isIn: (x: number, y: number) => boolean): Uint8Array =>
    Uint8Array.from({ length: lattice.columns * lattice.rows }, (_, node) => {
      const [x, y] = nodeAt(lattice, node);
      return isIn(x - cx, y - cy) ? 1 : 0;
    });

  test.each([3, 8, 15])('a ring of R %d, half as wide inside: an outer ring and a hole', (radius) => {
    const ring = masked((x, y) => x * x + y * y < radius ** 2 && x * x + y * y > (radius / 2) ** 2);
    const rings = maskRings(ring, lattice);
    expect(rings.map((one) => Math.sign(ringArea(one))).sort()).toEqual([-1, 1]);
    const area = rings.reduce((sum, one) => sum + ringArea(one), 0);
    expect(area / (Math.PI * 0.75 * radius ** 2)).toBeCloseTo(1, 1);
    expect(Math.max(...rings.map(ringLength)) / (2 * Math.PI * radius)).toBeCloseTo(1, 1);
    // Cauchy: π/4 of the sides of cells along a round border are its length.
    const [piece] = piecesOf(ring, lattice);
    expect((piece.sides * 0.1 * Math.PI) / 4 / (2 * Math.PI * 1.5 * radius)).toBeCloseTo(1, 1);
  });

  test('squares that meet at a corner are two rings', () => {
    const mask = masked(() => false),
      at = (i: number, j: number): number => (200 + j) * lattice.columns + 200 + i;
    for (let j = 0; j < 20; j++) for (let i = 0; i < 20; i++) mask[at(i, j)] = mask[at(i + 20, j + 20)] = 1;
    const rings = maskRings(mask, lattice);
    expect(rings).toHaveLength(2);
    // Within the tolerance, half a cell along the border at most.
    for (const ring of rings) expect(Math.abs(ringArea(ring) - 4)).toBeLessThan(0.4);
    expect(piecesOf(mask, lattice).map(({ count }) => count)).toEqual([400, 400]);
  });
});

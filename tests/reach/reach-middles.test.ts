import { describe, expect, test } from 'vitest';
import { isStraight, toldByMiddles } from '../../src/reach/reach-middles.js';
import { reachAtCorner, takeAnswers, type SidedReach } from '../../src/reach/sided-reach.js';
import { edgeKey } from '../../src/surface/edge-key.js';

const MOST = 10;

/** Reach radius at distance x beside an upright wall: x = R - √(2 R t + t²). */
const besideWall = (x: number, t: number): number => x + t + Math.sqrt(2 * t * x + 2 * t * t);

describe('borders told by ends and middle', () => {
  test.each([
    [0.5, 1.5, 1],
    [2, 3.1, 2.5],
    [3.5, 5.5, 4],
    [6, 8.9, 8],
  ])('beside a wall, edge from %d to %d mm: R %d within 0.3 per cent of its distance', (from, to, radius) => {
    const t = 0.02;
    const [a, middle, b] = [from, (from + to) / 2, to].map((x) => besideWall(x, t));
    expect(a).toBeLessThan(radius);
    expect(b).toBeGreaterThan(radius);
    expect(isStraight(a, middle, b, MOST)).toBe(true);
    const told = toldByMiddles(
      Float64Array.of(a, b),
      new Map([[edgeKey(0, 1), middle]]),
      new Uint8Array(2),
      MOST,
    );
    const border = radius - Math.sqrt(2 * radius * t + t * t);
    expect(Math.abs(from + told(0, 1, radius) * (to - from) - border)).toBeLessThan(0.003 * border);
  });

  test.each<[string, number, number, number]>([
    ['a plateau of the very radius', 2, 3, 3],
    ['a ridge', 2.4, 3.2, 2.4],
    ['no middle asked', 2, NaN, 4],
    ['all radii reach the far end', 9.9, 9.95, Infinity],
  ])('%s: to be asked', (_, from, middle, to) => {
    const middles = Number.isNaN(middle) ? new Map() : new Map([[edgeKey(0, 1), middle]]);
    const told = toldByMiddles(Float64Array.of(from, to), middles, new Uint8Array(2), MOST);
    expect(told(0, 1, Math.min(MOST, to))).toBeNaN();
  });

  test('of two ends that run straight to each other no middle is needed', () => {
    const told = toldByMiddles(Float64Array.of(1, 3), new Map(), Uint8Array.of(1, 1), MOST);
    expect(told(0, 1, 1.5)).toBeCloseTo(0.25, 12);
  });
});

describe('sides of a crease', () => {
  const UP = [0, 0, 1],
    ACROSS = [1, 0, 0];
  const at = (normals: readonly (readonly number[])[]): Float64Array =>
    Float64Array.from(normals.flatMap((normal) => [0, 0, 0, ...normal]));
  /** Two facets with corners in the same three vertices, one facing up, the other across. */
  const arrays = {
    positions: new Float64Array(9),
    triangles: Uint32Array.of(0, 1, 2, 0, 2, 1),
    twin: new Int32Array(6),
    normals: Float64Array.from([UP, UP, UP, ACROSS, ACROSS, ACROSS].flat()),
    parent: new Int32Array(2),
    labels: new Uint8Array(2),
  };

  test('a place counts as reached where one side is, and each facet reads its own side', () => {
    const found: SidedReach = { reach: new Float64Array(3).fill(NaN), sides: new Map() };
    const answers = Float64Array.of(1.5, Infinity, 2, 2.001, 4);
    takeAnswers(found, Float64Array.of(0, 0, 1, 1, 2), at([UP, ACROSS, UP, ACROSS, UP]), answers, MOST);
    expect([...found.reach]).toEqual([Infinity, 2.001, 4]);
    expect([0, 1, 2, 3, 5].map((h) => reachAtCorner(found, arrays, h))).toEqual([
      1.5,
      2.001,
      4,
      Infinity,
      2.001,
    ]);
  });
});

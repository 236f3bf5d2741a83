import { describe, expect, test } from 'vitest';
import { findCrossings } from '../../src/outlines/crossings.js';
import { randomNumbers } from '../support/shapes.js';

/** Segments of mixed length and place; every third begins where the one before ends. */
function randomSegments(seed: number, count: number, lengthMm: number): Float64Array {
  const next = randomNumbers(seed),
    segments = new Float64Array(4 * count);
  for (let s = 0; s < count; s++) {
    const joins = s % 3 === 2;
    const x = joins ? segments[4 * s - 2] : 100 * next(),
      y = joins ? segments[4 * s - 1] : 100 * next();
    const long = s % 50 === 0 ? 20 : 1;
    segments.set([x, y, x + long * lengthMm * (next() - 0.5), y + long * lengthMm * (next() - 0.5)], 4 * s);
  }
  return segments;
}

const found = (segments: Float64Array, hairMm: number, flags?: { of: Uint8Array; all: number }): string[] => {
  const pairs: string[] = [];
  findCrossings(
    segments,
    hairMm,
    (s, t) => {
      pairs.push(`${s} ${t}`);
      return false;
    },
    flags,
  );
  return pairs.sort();
};

/**
 * Proper crossings by the orientation of triples, each with each: O'Rourke, Computational Geometry in C,
 * section 1.5.
 */
function crossingPairs(p: Float64Array): string[] {
  const turn = (a: number, b: number, c: number): number =>
    Math.sign((p[b] - p[a]) * (p[c + 1] - p[a + 1]) - (p[b + 1] - p[a + 1]) * (p[c] - p[a]));
  const pairs: string[] = [];
  for (let s = 0; 4 * s < p.length; s++) {
    for (let t = s + 1; 4 * t < p.length; t++) {
      const [a, b, c, d] = [4 * s, 4 * s + 2, 4 * t, 4 * t + 2];
      if (turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0) pairs.push(`${s} ${t}`);
    }
  }
  return pairs.sort();
}

describe.each([
  [1, 40, 60],
  [2, 400, 12],
  [3, 900, 3],
])('seed %i: %i segments about %d long', (seed, count, lengthMm) => {
  const segments = randomSegments(seed, count, lengthMm);
  const brute = crossingPairs(segments);

  test('every proper crossing, each once', () => {
    expect(brute.length).toBeGreaterThan(10);
    const pairs = found(segments, 0);
    expect(new Set(pairs).size).toBe(pairs.length);
    expect(brute.filter((pair) => !pairs.includes(pair))).toEqual([]);
    // What it finds beyond them touches: an end lies on the other segment.
    expect(pairs.length - brute.length).toBeLessThan(0.02 * brute.length + 2);
  });

  test('only pairs whose flags add up', () => {
    const of = Uint8Array.from({ length: count }, (_, s) => s % 4);
    const wanted = found(segments, 0).filter((pair) => {
      const [s, t] = pair.split(' ').map(Number);
      return (of[s] | of[t]) === 3;
    });
    expect(found(segments, 0, { of, all: 3 })).toEqual(wanted);
  });
});

test('a hair: parallel lines 0.001 apart meet within 0.002, not within 0.0005; level ones too', () => {
  for (const [dx, dy] of [
    [1, 0],
    [0, 1],
    [0.6, 0.8],
  ]) {
    const segments = Float64Array.from([
      0,
      0,
      10 * dx,
      10 * dy,
      -0.001 * dy + dx,
      0.001 * dx + dy,
      -0.001 * dy + 5 * dx,
      0.001 * dx + 5 * dy,
    ]);
    expect(found(segments, 0.002)).toEqual(['0 1']);
    expect(found(segments, 0.0005)).toEqual([]);
  }
});

// 0.0018 apart, level, with others above and below that make the search go by strips.
test('a hair also joins what lies in different strips', () => {
  const others = Array.from({ length: 30 }, (_, i) => [20, i, 21, i + 0.5]).flat();
  for (let y = 0; y < 30; y += 0.37) {
    const segments = Float64Array.from([0, y, 10, y, 1, y + 0.0018, 5, y + 0.0018, ...others]);
    expect(found(segments, 0.002)).toContain('0 1');
    expect(found(segments, 0.0017)).not.toContain('0 1');
  }
});

test('the search stops when told to', () => {
  let calls = 0;
  findCrossings(randomSegments(4, 200, 40), 0, () => ++calls === 3);
  expect(calls).toBe(3);
});

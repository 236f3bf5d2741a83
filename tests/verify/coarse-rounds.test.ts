/**
 * What a ball leaves round coarsely tessellated pockets and bosses. What counts is the true surface: of the ground the
 * facets show only what lies within the chords of a hollow wall, and more than there is round a boss.
 *
 * Pappus: a section's area times the way of its centroid, by formula where the wall is upright (Bronstein's tables,
 * from memory), else by the midpoint rule.
 */
import { describe, expect, test } from 'vitest';
import * as shapes from '../support/shapes.js';
import { plateWithFeature } from '../support/shapes/sweeps.js';
import { reachOfStl } from '../support/pipeline.js';
import type { Point2 } from '../support/shapes/soup.js';
import { chosen } from './chosen.js';

const { PI, abs, cos, max, min, sin, sqrt, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;
const T = 0.02;

/** @param profile from the rim inwards */
async function restIn(profile: readonly Point2[], segments: number, R: number): Promise<number> {
  const deepest = profile.reduce((low, [, z]) => min(low, z), 0);
  const corners = plateWithFeature({ side: 2 * profile[0][0] + 30, bottomZ: deepest - 6, segments, profile });
  return (await (await reachOfStl(shapes.turned(corners, 12.9), [R], T)).restMm3())[0];
}

/**
 * The cutter may enter the part by a tenth of the tolerance: along the whole way from where it touches the floor to
 * where it touches the wall so much less is left.
 *
 * @param tangent from the corner to where the ball touches, mm, round a floor of radius P
 */
function expectRest(found: number, expected: number, tangent: number, P: number): void {
  const most = 0.02 * expected + 0.1 * T * 2 * tangent * 2 * PI * P;
  expect(abs(found - expected), `${found.toFixed(2)} for ${expected.toFixed(2)}`).toBeLessThan(most);
}

/** Round a wall of radius P that stands on a floor: on its inside or its outside. */
const alongUpright = (P: number, R: number, side: number): number =>
  (1 - PI / 4) * R * R * 2 * PI * (P + side * 0.2234 * R);

/** The same, the wall leaning away from the floor by a draft: columns from floor or wall up to the ball. */
function alongDrafted(P: number, draft: number, R: number, side: number): number {
  const wall = rad(90 - draft),
    tangent = R * tan(wall / 2),
    from = -tangent * cos(wall),
    steps = 20_000;
  const width = (tangent - from) / steps;
  let sum = 0;
  for (let i = 0; i < steps; i++) {
    const x = from + (i + 0.5) * width;
    const high = R - sqrt(max(0, R * R - (tangent - x) ** 2)) - max(0, -x * tan(wall));
    sum += max(0, high) * width * 2 * PI * (P + side * x);
  }
  return sum;
}

const SEGMENTS = [48, 96, 400];

describe('upright walls', () => {
  const cases = [25.4, 12, 40].flatMap((P) =>
    SEGMENTS.flatMap((segments) => [0.5, 1, 3].flatMap((R) => [-1, 1].map((side) => [P, segments, R, side]))),
  );
  test.each(chosen(cases, [1, 12, 22, 24, 31]))(
    'of radius %d, %d facets, a ball of R %d, inside or outside: %d',
    async (P, segments, R, side) => {
      const rise = side * (8 + R);
      const found = await restIn(
        [
          [P, 0],
          [P, rise],
          [0, rise],
        ],
        segments,
        R,
      );
      expectRest(found, alongUpright(P, R, side), R, P);
    },
  );
});

describe('drafted walls', () => {
  const cases = [1, 5, 15].flatMap((draft) =>
    SEGMENTS.flatMap((segments) =>
      [0.5, 1, 3].flatMap((R) => [-1, 1].map((side) => [draft, segments, R, side])),
    ),
  );
  test.each(chosen(cases, [4, 9, 27, 36, 40]))(
    'by %d degrees, %d facets, a ball of R %d, inside or outside: %d',
    async (draft, segments, R, side) => {
      const [P, high] = [14, 8],
        lean = high * tan(rad(draft));
      const [rim, foot] = side < 0 ? [P + lean, P] : [P, P - lean];
      const found = await restIn(
        [
          [rim, 0],
          [foot, side * high],
          [0, side * high],
        ],
        segments,
        R,
      );
      expectRest(found, alongDrafted(P, draft, R, side), R * tan(rad(90 - draft) / 2), P);
    },
  );
});

describe('fillets smaller than the ball along a pocket floor', () => {
  const sizes = [
    [1, 2],
    [2, 2.5],
    [2, 4],
    [0.5, 3],
  ];
  const cases = SEGMENTS.flatMap((segments) =>
    [4, 9].flatMap((arcs) => sizes.map(([r, R]) => [r, R, segments, arcs])),
  );
  test.each(chosen(cases, [1, 4, 7, 13]))(
    'of radius %d, a ball of R %d, %d facets round, %d across',
    async (r, R, segments, arcs) => {
      const [P, depth] = [14, 9];
      const arc = Array.from({ length: arcs + 1 }, (_, i): Point2 => {
        const t = ((i / arcs) * PI) / 2;
        return [P - r + r * cos(t), r - depth - r * sin(t)];
      });
      const found = await restIn([[P, 0], ...arc, [0, -depth]], segments, R);
      expectRest(found, alongUpright(P, R, -1) - alongUpright(P, r, -1), R - r, P);
    },
  );
});

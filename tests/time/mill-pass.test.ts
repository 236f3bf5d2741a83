import { describe, expect, test } from 'vitest';
import { floorPath } from '../../src/time/mill-pass.js';

const { PI, sin, cos } = Math;
const expectWithin = (found: number, expected: number, share: number): void =>
  expect(Math.abs(found / expected - 1), `${found}, expected ${expected}`).toBeLessThanOrEqual(share);

// Elementary geometry. The flat end, of radius a, touches all that lies within a of its axis, so passes whose axis stays
// a inside the border finish the floor; the passes are counted one by one.
describe('length of passes over a floor', () => {
  test.each([
    [60, 40, 6, 2],
    [100, 60, 5, 7],
    [200, 30, 3, 4],
    [80, 80, 1.5, 1],
  ])(
    'parallel ones over a rectangle %d x %d with rounded corners, a %d, step %d',
    (width, height, a, step) => {
      // What a flat end reaches in a pocket: corners rounded by a.
      const areaMm2 = width * height - (4 - PI) * a * a,
        borderMm = 2 * (width + height) - (8 - 2 * PI) * a;
      const { lengthMm, passes } = floorPath({ areaMm2, borderMm, pieces: 1 }, a, step);
      const long = Math.max(width, height) - 2 * a,
        across = Math.min(width, height) - 2 * a;
      // As many full steps as fit, then one that is shorter: of lines and of the way from one to the next.
      const lines = Math.ceil(across / step - 1e-9) + 1;
      const counted = lines * long + across;
      const mean = (across / step + 1) * long + across;
      expectWithin(lengthMm, mean, 1e-9);
      // The last, shorter step is more than the mean has by up to one line.
      expect(Math.abs(lengthMm - counted)).toBeLessThanOrEqual(long);
      if (across % step === 0) expectWithin(lengthMm, counted, 0.02);
      expect(passes).toBeGreaterThan(1);
    },
  );

  test.each([
    [30, 5, 2],
    [50, 8, 7],
    [20, 2.5, 3.5],
    [12, 3, 1],
  ])('rings over a disc of radius %d, a %d, step %d', (radius, a, step) => {
    const shape = { areaMm2: PI * radius * radius, borderMm: 2 * PI * radius, pieces: 1 };
    const { lengthMm, passes } = floorPath(shape, a, step);
    let counted = 0,
      rings = 0;
    for (let r = radius - a; r > 1e-9; r -= step, rings++) counted += 2 * PI * r;
    expectWithin(lengthMm, counted, 0.02);
    expect(Math.abs(passes - rings)).toBeLessThanOrEqual(1);
  });

  test('round an island: the hole grows by a as the outside shrinks', () => {
    const [outer, inner, a, step] = [40, 10, 4, 2];
    const shape = {
      areaMm2: PI * (outer * outer - inner * inner),
      borderMm: 2 * PI * (outer + inner),
      pieces: 0,
    };
    let counted = 0;
    for (let r = outer - a; r > inner + a - 1e-9; r -= step) counted += 2 * PI * r;
    expectWithin(floorPath(shape, a, step).lengthMm, counted, 0.02);
  });

  test('a slot as wide as the cutter takes one pass along it', () => {
    const [length, a] = [80, 5];
    const shape = { areaMm2: 2 * a * length + PI * a * a, borderMm: 2 * length + 2 * PI * a, pieces: 1 };
    const { lengthMm, passes } = floorPath(shape, a, 7);
    expectWithin(lengthMm, length, 1e-9);
    expect(passes).toBeCloseTo(1, 9);
  });

  // An open edge keeps its sharp corners: there Steiner's formula leaves (4 - π) a² out.
  test('a level top with sharp corners: within 2 % all the same', () => {
    const [width, height, a, step] = [60, 40, 6, 4];
    const shape = { areaMm2: width * height, borderMm: 2 * (width + height), pieces: 1 };
    const counted = ((height - 2 * a) / step + 1) * (width - 2 * a) + height - 2 * a;
    expectWithin(floorPath(shape, a, step).lengthMm, counted, 0.02);
  });

  test('a regular hexagon, rings of it', () => {
    const [side, a, step] = [40, 0, 2];
    const inradius = side * cos(PI / 6);
    const shape = { areaMm2: 1.5 * Math.sqrt(3) * side * side, borderMm: 6 * side, pieces: 1 };
    let counted = 0;
    for (let r = inradius; r > 1e-9; r -= step) counted += (12 * r * sin(PI / 6)) / cos(PI / 6);
    expectWithin(floorPath(shape, a, step).lengthMm, counted, 0.02);
  });
});

import { expect, test } from 'vitest';
import { ringArea } from '../../src/outlines/ring-measures.js';
import { maskRings } from '../../src/stages/mask-rings.js';
import { fromLattice } from '../../src/stages/plan-lattice.js';

const PITCH = 0.4,
  SIDE = 200;
const LATTICE = { u0: -40, v0: -40, pitchMm: PITCH, columns: SIDE, rows: SIDE };

/** Rings of a shape, given by how far a point lies outside of it, mm; and how far they stray from its border. */
function ringsOf(outside: (x: number, y: number) => number) {
  const isIn = Uint8Array.from({ length: SIDE * SIDE }, (_, node) => {
    const [i, j] = [node % SIDE, Math.floor(node / SIDE)];
    return outside(...fromLattice(LATTICE.u0 + i * PITCH, LATTICE.v0 + j * PITCH)) < 0 ? 1 : 0;
  });
  const rings = maskRings(isIn, LATTICE);
  const strays = rings.flatMap((ring) =>
    Array.from({ length: ring.length / 2 }, (_, i) => {
      const j = (2 * i + 2) % ring.length;
      return [0, 0.25, 0.5, 0.75].map((t) => {
        const [x, y] = [0, 1].map((k) => ring[2 * i + k] + t * (ring[j + k] - ring[2 * i + k]));
        return Math.abs(outside(x, y));
      });
    }).flat(),
  );
  return {
    rings,
    areaMm2: rings.reduce((sum, ring) => sum + ringArea(ring), 0),
    mostMm: Math.max(...strays),
    meanMm: Math.sqrt(strays.reduce((sum, own) => sum + own * own, 0) / strays.length),
  };
}

// Closed forms: areas of a rectangle and of a disc. A lattice tells a border to half a pitch, and its diagonal 0.71.
test.each([0, 0.3, 0.5, 1])('a rectangle turned by %d rad: its area, its sides without stairs', (turn) => {
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const { rings, areaMm2, mostMm, meanMm } = ringsOf((x, y) =>
    Math.max(Math.abs(x * c + y * s) - 20, Math.abs(y * c - x * s) - 12),
  );
  expect(rings).toHaveLength(1);
  expect(Math.abs(areaMm2 / 960 - 1)).toBeLessThan(0.005);
  expect(mostMm).toBeLessThan(PITCH);
  expect(meanMm).toBeLessThan(0.3 * PITCH);
});

test.each([20, 6])('a disc of R %d with a hole of half of that', (radius) => {
  const { rings, areaMm2, mostMm, meanMm } = ringsOf((x, y) => {
    const r = Math.hypot(x, y);
    return Math.max(r - radius, radius / 2 - r);
  });
  expect(rings.map((ring) => Math.sign(ringArea(ring))).sort()).toEqual([-1, 1]);
  expect(Math.abs(areaMm2 / (0.75 * Math.PI * radius ** 2) - 1)).toBeLessThan(radius === 20 ? 0.01 : 0.03);
  expect(mostMm).toBeLessThan(0.71 * PITCH);
  expect(meanMm).toBeLessThan(0.2 * PITCH);
});

test('a ring of few nodes keeps its place: nothing of it is evened out', () => {
  const { rings, areaMm2 } = ringsOf((x, y) => Math.max(Math.abs(x), Math.abs(y)) - 0.45 * PITCH);
  expect(rings).toHaveLength(1);
  // One node: the square through the middles of its four sides.
  expect(areaMm2).toBeCloseTo(PITCH ** 2 / 2, 9);
});

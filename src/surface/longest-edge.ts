import type { SurfaceBuilder } from './surface-builder.js';

/** The longest edge of facet f: its half-edge and length, mm. */
export function longestEdge(build: SurfaceBuilder, f: number): { halfEdge: number; lengthMm: number } {
  const { positions, triangles } = build.arrays();
  let best = -1,
    halfEdge = 3 * f;
  for (let k = 0; k < 3; k++) {
    const a = 3 * triangles[3 * f + k],
      b = 3 * triangles[3 * f + ((k + 1) % 3)];
    const x = positions[b] - positions[a],
      y = positions[b + 1] - positions[a + 1];
    const z = positions[b + 2] - positions[a + 2];
    const squared = x * x + y * y + z * z;
    if (squared > best) {
      best = squared;
      halfEdge = 3 * f + k;
    }
  }
  return { halfEdge, lengthMm: Math.sqrt(best) };
}

/**
 * The half-edge to bisect next so that facet f comes to be halved at its longest edge: that edge itself where
 * it is the longest of both its facets, else the one found by walking on to ever longer neighbours.
 *
 * Halving a facet at an edge that is not its longest makes slivers that feed on each other without end; this
 * walk keeps every angle above half the smallest one of the start.
 *
 * Source: Rivara 1997, "New longest-edge algorithms",
 * doi:10.1002/(SICI)1097-0207(19970930)40:18<3313::AID-NME214>3.0.CO;2-#.
 */
export function nextToBisect(build: SurfaceBuilder, f: number): number {
  let { halfEdge, lengthMm } = longestEdge(build, f);
  for (;;) {
    const twin = build.arrays().twin[halfEdge];
    if (twin < 0) return halfEdge;
    const beyond = longestEdge(build, (twin / 3) | 0);
    if (beyond.lengthMm <= lengthMm * (1 + 1e-9)) return halfEdge;
    ({ halfEdge, lengthMm } = beyond);
  }
}

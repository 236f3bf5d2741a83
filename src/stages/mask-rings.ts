import { ringArea } from '../outlines/ring-measures.js';
import { simplifyRing } from '../outlines/offset.js';
import { fromLattice, type PlanLattice } from './plan-lattice.js';

/** A side of a ring keeps within so many pitches of the points that it stands for. */
const TOLERANCE_PITCHES = 0.15;
/** So often are the stairs evened out, on small rings once for so many points: a round one of those stays as large. */
const MOST_PASSES = 8,
  POINTS_A_PASS = 12;

/**
 * Outlines of a mask in plan: outer rings counter-clockwise, holes clockwise, mm.
 *
 * @param isIn (nodes) 1 inside; off the lattice's edge
 */
export function maskRings(isIn: Uint8Array, lattice: PlanLattice): Float64Array[] {
  return borderLoops(isIn, lattice.columns)
    .map((sides) => evened(ringThrough(sides, lattice)))
    .map((ring) => simplifyRing(ring, TOLERANCE_PITCHES * lattice.pitchMm))
    .filter((ring) => ring.length >= 6 && ringArea(ring) !== 0);
}

/** Sides of nodes with the mask to their left, as 4 node + turn: 0 under the node, 1 right of it, 2 over it, 3 left. */
function borderLoops(isIn: Uint8Array, columns: number): number[][] {
  const beside = [-columns, 1, columns, -1];
  const done = new Uint8Array(4 * isIn.length);
  const loops: number[][] = [];
  for (let node = 0; node < isIn.length; node++) {
    for (let turn = 0; turn < 4; turn++) {
      if (isIn[node] !== 1 || isIn[node + beside[turn]] === 1 || done[4 * node + turn] === 1) continue;
      const loop: number[] = [];
      let at = node,
        side = turn;
      while (done[4 * at + side] === 0) {
        done[4 * at + side] = 1;
        loop.push(4 * at + side);
        // The node ahead along this side, and the one diagonally beyond it: nodes that meet at a corner alone are apart.
        const ahead = at + beside[(side + 1) % 4],
          beyond = ahead + beside[side];
        if (isIn[ahead] !== 1) side = (side + 1) % 4;
        else if (isIn[beyond] !== 1) at = ahead;
        else [at, side] = [beyond, (side + 3) % 4];
      }
      loops.push(loop);
    }
  }
  return loops;
}

/**
 * A ring without the stairs of a lattice. What evening takes off bends is evened likewise and given back, so that they
 * keep their place and the ring its area.
 */
function evened(ring: Float64Array): Float64Array {
  const passes = Math.min(MOST_PASSES, Math.floor(ring.length / 2 / POINTS_A_PASS));
  const even = blurred(ring, passes);
  const back = blurred(
    ring.map((x, i) => x - even[i]),
    passes,
  );
  return even.map((x, i) => x + back[i]);
}

/** Means of each point, twice, and its neighbours along a ring, so often. */
function blurred(ring: Float64Array, passes: number): Float64Array {
  const size = ring.length;
  return passes === 0
    ? ring
    : blurred(
        ring.map((x, i) => (ring[(i + size - 2) % size] + 2 * x + ring[(i + 2) % size]) / 4),
        passes - 1,
      );
}

/** From the middle of each side to that of the next. */
function ringThrough(sides: readonly number[], { u0, v0, pitchMm, columns }: PlanLattice): Float64Array {
  return Float64Array.from(
    sides.flatMap((one) => {
      const node = one >> 2,
        turn = one & 3;
      const i = (node % columns) + [0, 0.5, 0, -0.5][turn],
        j = Math.floor(node / columns) + [-0.5, 0, 0.5, 0][turn];
      return fromLattice(u0 + i * pitchMm, v0 + j * pitchMm);
    }),
  );
}

import { ringArea } from '../outlines/ring-measures.js';
import { simplifyRing } from '../outlines/offset.js';
import { fromLattice, type PlanLattice } from './plan-lattice.js';

/** Rings keep within so many pitches of a mask's stairs: they pass through the middles of its sides. */
const TOLERANCE_PITCHES = 0.8;

/**
 * Outlines of a mask in plan: outer rings counter-clockwise, holes clockwise, mm.
 *
 * @param isIn (nodes) 1 inside; off the lattice's edge
 */
export function maskRings(isIn: Uint8Array, lattice: PlanLattice): Float64Array[] {
  return borderLoops(isIn, lattice.columns)
    .map((sides) => simplifyRing(ringThrough(sides, lattice), TOLERANCE_PITCHES * lattice.pitchMm))
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

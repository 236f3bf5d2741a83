import { addToList } from '../core/lists.js';
import type { BorderChains, Outlines } from './types.js';

/**
 * Strings chains together to closed rings in plan, region by region. A ring that comes back to a meeting
 * point it has passed is split there, so that no ring passes one twice. Rings keep the region on the left as
 * seen from outside the part: a region that faces down comes out the other way round, and walls may cross in
 * plan; `cleanRings` settles both.
 */
export function assembleRings(chains: BorderChains): Outlines {
  const leaving = new Map<number, Map<number, number[]>>();
  const rings: { region: number; pieces: number[] }[] = [];
  const count = chains.closed.length;
  for (const piece of Array.from({ length: 2 * count }, (_, i) => i)) {
    const region = piece % 2 === 0 ? chains.left[piece >> 1] : chains.right[piece >> 1];
    if (region < 0) continue;
    if (chains.closed[piece >> 1]) {
      rings.push({ region, pieces: [piece] });
      continue;
    }
    const byVertex = leaving.get(region) ?? new Map<number, number[]>();
    leaving.set(region, byVertex);
    addToList(byVertex, chains.ends[piece], piece);
  }
  for (const [region, byVertex] of leaving) {
    for (const pieces of walk(chains, byVertex)) rings.push({ region, pieces });
  }
  return collect(chains, rings);
}

// A piece is 2 c for chain c along its direction (its left region), 2 c + 1 against it (its right region).
// `ends[piece]` is then the vertex where it leaves, `ends[piece ^ 1]` where it arrives.

function walk(chains: BorderChains, leaving: Map<number, number[]>): number[][] {
  const rings: number[][] = [];
  for (const start of leaving.keys()) {
    const path: number[] = [];
    const depthOf = new Map<number, number>([[start, 0]]);
    for (let at = start; ; ) {
      const choice = takeNext(chains, leaving.get(at) ?? [], path[path.length - 1]);
      if (choice < 0) break;
      path.push(choice);
      at = chains.ends[choice ^ 1];
      const depth = depthOf.get(at);
      if (depth === undefined) {
        depthOf.set(at, path.length);
        continue;
      }
      const ring = path.splice(depth);
      for (const piece of ring.slice(1)) depthOf.delete(chains.ends[piece]);
      rings.push(ring);
    }
  }
  return rings;
}

/**
 * Takes the sharpest left turn: it closes round the inside of the region first. -1 if nothing leaves any
 * more.
 */
function takeNext(chains: BorderChains, candidates: number[], arriving: number | undefined): number {
  if (candidates.length === 0) return -1;
  let best = 0;
  if (arriving !== undefined && candidates.length > 1) {
    const [ux, uy] = direction(chains, arriving ^ 1);
    let bestTurn = -Infinity;
    candidates.forEach((piece, i) => {
      const [vx, vy] = direction(chains, piece);
      const turn = Math.atan2(uy * vx - ux * vy, -ux * vx - uy * vy);
      if (turn > bestTurn) [best, bestTurn] = [i, turn];
    });
  }
  return candidates.splice(best, 1)[0];
}

/** Plan direction in which a piece leaves its first vertex. */
function direction({ points, start }: BorderChains, piece: number): [number, number] {
  const c = piece >> 1;
  const [a, b] = piece % 2 === 0 ? [start[c], start[c] + 1] : [start[c + 1] - 1, start[c + 1] - 2];
  return [points[3 * b] - points[3 * a], points[3 * b + 1] - points[3 * a + 1]];
}

function collect(chains: BorderChains, rings: readonly { region: number; pieces: number[] }[]): Outlines {
  const points: number[] = [],
    heights: number[] = [],
    start = [0],
    regionOfRing: number[] = [];
  for (const { region, pieces } of rings) {
    for (const piece of pieces) {
      const c = piece >> 1;
      const from = chains.start[c],
        to = chains.start[c + 1];
      // An open chain's last point is the first of the next.
      const count = chains.closed[c] ? to - from : to - from - 1;
      for (let i = 0; i < count; i++) {
        const p = 3 * (piece % 2 === 0 ? from + i : to - 1 - i);
        points.push(chains.points[p], chains.points[p + 1]);
        heights.push(chains.points[p + 2]);
      }
    }
    start.push(heights.length);
    regionOfRing.push(region);
  }
  return {
    points: Float64Array.from(points),
    heights: Float64Array.from(heights),
    start: Uint32Array.from(start),
    regionOfRing: Int32Array.from(regionOfRing),
  };
}

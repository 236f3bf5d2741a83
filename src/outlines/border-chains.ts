import type { BorderSegments } from './border-segments.js';
import type { BorderChains } from './types.js';

/**
 * Joins border segments to the longest chains along which the same two labels face each other. Closed chains
 * begin at their lowest point by x, then y, then z, so that the order of facets does not matter.
 *
 * @param positions (3 V) mm
 */
export function borderChains(positions: Float64Array, segments: BorderSegments): BorderChains {
  const { from, to, left, right } = segments;
  const next = nextSegments(segments, positions.length / 3);
  const hasBefore = new Uint8Array(from.length);
  for (const s of next) if (s >= 0) hasBefore[s] = 1;

  const chains: { vertices: number[]; segment: number; closed: boolean }[] = [];
  const used = new Uint8Array(from.length);
  const follow = (first: number) => {
    const vertices: number[] = [];
    let s = first;
    for (; s >= 0 && !used[s]; s = next[s]) {
      used[s] = 1;
      vertices.push(from[s]);
      if (next[s] < 0) vertices.push(to[s]);
    }
    chains.push({
      vertices: s < 0 ? vertices : fromLowest(positions, vertices),
      segment: first,
      closed: s >= 0,
    });
  };
  for (let s = 0; s < from.length; s++) if (!hasBefore[s]) follow(s);
  for (let s = 0; s < from.length; s++) if (!used[s]) follow(s);

  const start = new Uint32Array(chains.length + 1);
  chains.forEach((chain, c) => {
    start[c + 1] = start[c] + chain.vertices.length;
  });
  const points = new Float64Array(3 * start[chains.length]);
  chains.forEach((chain, c) =>
    chain.vertices.forEach((v, i) => {
      points.set(positions.subarray(3 * v, 3 * v + 3), 3 * (start[c] + i));
    }),
  );
  return {
    points,
    start,
    closed: Uint8Array.from(chains, (chain) => (chain.closed ? 1 : 0)),
    left: Int32Array.from(chains, (chain) => left[chain.segment]),
    right: Int32Array.from(chains, (chain) => right[chain.segment]),
    ends: Int32Array.from(
      chains.flatMap(({ closed, vertices }) =>
        closed ? [-1, -1] : [vertices[0], vertices[vertices.length - 1]],
      ),
    ),
  };
}

/** (S) the segment that carries on from each one's end; -1 where borders meet. */
function nextSegments({ from, to, left, right }: BorderSegments, vertices: number): Int32Array {
  const degree = new Uint32Array(vertices);
  const leaving = new Int32Array(vertices).fill(-1);
  for (let s = 0; s < from.length; s++) {
    degree[from[s]]++;
    degree[to[s]]++;
    leaving[from[s]] = s;
  }
  return Int32Array.from(to, (v, s) => {
    const follower = leaving[v];
    return degree[v] === 2 && follower >= 0 && left[follower] === left[s] && right[follower] === right[s]
      ? follower
      : -1;
  });
}

function fromLowest(positions: Float64Array, vertices: number[]): number[] {
  let low = 0;
  for (let i = 1; i < vertices.length; i++) {
    const a = 3 * vertices[i],
      b = 3 * vertices[low];
    const order =
      positions[a] - positions[b] ||
      positions[a + 1] - positions[b + 1] ||
      positions[a + 2] - positions[b + 2];
    if (order < 0) low = i;
  }
  return [...vertices.slice(low), ...vertices.slice(0, low)];
}

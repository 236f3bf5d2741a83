import { compensatedSum } from '../../../src/core/sum.js';

/** What a soup says about itself, by the plainest means. */
export interface SoupMeasures {
  readonly volume: number;
  readonly area: number;
  /** Directed edges whose opposite does not occur as often; 0 on a closed, consistently wound surface. */
  readonly unmatchedEdges: number;
  /** Triangles without area. */
  readonly degenerate: number;
  readonly min: readonly [number, number, number];
  readonly max: readonly [number, number, number];
}

/** Volume by the divergence theorem (sum of a . (b x c) / 6, taken about the first corner), and area. */
export function volumeAndArea(corners: Float64Array): Pick<SoupMeasures, 'volume' | 'area' | 'degenerate'> {
  const count = corners.length / 9;
  const volumes = new Float64Array(count);
  const areas = new Float64Array(count);
  const [ox, oy, oz] = corners;
  let degenerate = 0;
  for (let f = 0, i = 0; f < count; f++, i += 9) {
    const ax = corners[i] - ox;
    const ay = corners[i + 1] - oy;
    const az = corners[i + 2] - oz;
    const ux = corners[i + 3] - corners[i];
    const uy = corners[i + 4] - corners[i + 1];
    const uz = corners[i + 5] - corners[i + 2];
    const vx = corners[i + 6] - corners[i];
    const vy = corners[i + 7] - corners[i + 1];
    const vz = corners[i + 8] - corners[i + 2];
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    // a . (b x c) equals a . ((b - a) x (c - a)).
    volumes[f] = (ax * nx + ay * ny + az * nz) / 6;
    areas[f] = Math.sqrt(nx * nx + ny * ny + nz * nz) / 2;
    if (areas[f] === 0) degenerate++;
  }
  return { volume: compensatedSum(volumes), area: compensatedSum(areas), degenerate };
}

/** Volume, area, closedness, bounds. */
export function measureSoup(corners: Float64Array): SoupMeasures {
  const axis = (a: number, pick: (x: number, y: number) => number): number => {
    let best = corners[a];
    for (let i = a; i < corners.length; i += 3) best = pick(best, corners[i]);
    return best;
  };
  return {
    ...volumeAndArea(corners),
    unmatchedEdges: unmatchedEdges(corners),
    min: [axis(0, Math.min), axis(1, Math.min), axis(2, Math.min)],
    max: [axis(0, Math.max), axis(1, Math.max), axis(2, Math.max)],
  };
}

function unmatchedEdges(corners: Float64Array): number {
  const ids = new Map<string, number>();
  const vertex = (i: number): number => {
    const key = `${corners[i]} ${corners[i + 1]} ${corners[i + 2]}`;
    const known = ids.get(key);
    if (known !== undefined) return known;
    ids.set(key, ids.size);
    return ids.size - 1;
  };
  const balance = new Map<string, number>();
  for (let i = 0; i < corners.length; i += 9) {
    const v = [vertex(i), vertex(i + 3), vertex(i + 6)];
    for (let k = 0; k < 3; k++) {
      const [a, b] = [v[k], v[(k + 1) % 3]];
      const key = a < b ? `${a} ${b}` : `${b} ${a}`;
      balance.set(key, (balance.get(key) ?? 0) + (a < b ? 1 : -1));
    }
  }
  let unmatched = 0;
  for (const rest of balance.values()) unmatched += Math.abs(rest);
  return unmatched;
}

/** Sum of the areas of the triangles whose centroid and unit normal `where` accepts, mm². */
export function areaWhere(
  corners: Float64Array,
  where: (centroid: readonly [number, number, number], normal: readonly [number, number, number]) => boolean,
): number {
  const areas: number[] = [];
  for (let i = 0; i < corners.length; i += 9) {
    const [ax, ay, az, bx, by, bz, cx, cy, cz] = corners.subarray(i, i + 9);
    const [ux, uy, uz, vx, vy, vz] = [bx - ax, by - ay, bz - az, cx - ax, cy - ay, cz - az];
    const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz);
    if (length === 0) continue;
    const centroid = [(ax + bx + cx) / 3, (ay + by + cy) / 3, (az + bz + cz) / 3] as const;
    if (where(centroid, [nx / length, ny / length, nz / length])) areas.push(length / 2);
  }
  return compensatedSum(areas);
}

import type { SurfaceArrays } from '../surface/surface-builder.js';
import { tangents } from '../part/tangents.js';
import type { CellOptions } from './reach-cells.js';
import type { RingWalk } from './ring-walk.js';

/** How the reach radius runs about one sample. */
export interface CellCourse {
  /**
   * Whether the samples about s follow one linear course, all round and without a fold between them.
   *
   * @param depth edges that samples are apart
   */
  fit(s: number, depth: number): boolean;
  /**
   * Reach radius that the last course expects at vertex v, mm; NaN where v's normal shows that the surface
   * does not go on there as between the samples.
   */
  at(v: number): number;
}

/** Fewer samples about a sample do not show a course. */
const LEAST_SAMPLES = 5;
/**
 * What samples about a sample may differ from a linear course, in mm and of the radius. They are twice as far
 * from it as the vertices that are told, so these differ by a quarter as much.
 */
const COURSE_MM = 0.006,
  COURSE_SHARE = 0.006;
/**
 * Samples must lie all round: least product of the two eigenvalues of their spread over the square of the
 * sum.
 */
const ALL_ROUND = 0.04;

/**
 * The course of reach radius and normal in the tangent plane of a sample, by least squares through it.
 *
 * A normal off by an angle e over a way w says that something e w / 4 high lies in between; that may be a
 * quarter of the tolerance.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function cellCourse(
  { positions, normals }: SurfaceArrays,
  walk: RingWalk,
  reach: Float64Array,
  sampled: Uint8Array,
  { corner, apartMm, toleranceMm }: Pick<CellOptions, 'corner' | 'apartMm' | 'toleranceMm'>,
): CellCourse {
  const found: number[] = [];
  const ways = new Float64Array(2),
    slope = new Float64Array(2),
    turn = new Float64Array(6);
  let s = 0,
    px = 0,
    py = 0,
    pz = 0,
    nx = 0,
    ny = 0,
    nz = 0;
  const axes = new Float64Array(6);
  /** A vertex's way from the sample along two directions of its tangent plane; returns the whole distance. */
  const wayTo = (v: number): number => {
    const x = positions[3 * v] - px,
      y = positions[3 * v + 1] - py,
      z = positions[3 * v + 2] - pz;
    ways[0] = axes[0] * x + axes[1] * y + axes[2] * z;
    ways[1] = axes[3] * x + axes[4] * y + axes[5] * z;
    return Math.sqrt(x * x + y * y + z * z);
  };
  const start = (from: number): void => {
    s = from;
    px = positions[3 * s];
    py = positions[3 * s + 1];
    pz = positions[3 * s + 2];
    const n = 3 * corner[s];
    nx = normals[n];
    ny = normals[n + 1];
    nz = normals[n + 2];
    tangents(normals.subarray(n, n + 3), axes);
  };
  /** Samples about s; false if there are too few, a fold is near, or they are too far apart to say much. */
  const gather = (depth: number): boolean => {
    let isClear = true,
      least = reach[s],
      most = reach[s],
      away = 0;
    found.length = 0;
    walk(s, 2 * depth + 1, (v, edges) => {
      if (corner[v] < 0) {
        if (edges <= depth + 1) isClear = false;
        return false;
      }
      if (sampled[v] === 1 && v !== s) {
        found.push(v);
        least = Math.min(least, reach[v]);
        most = Math.max(most, reach[v]);
        away = Math.max(away, wayTo(v));
      }
      return isClear;
    });
    return (
      isClear &&
      found.length >= LEAST_SAMPLES &&
      away <= apartMm(least, most) &&
      (most < Infinity || least === Infinity)
    );
  };
  /** Least squares of how reach and normal change along the two directions; false if samples lie in a row. */
  const solve = (): boolean => {
    let xx = 0,
      xy = 0,
      yy = 0;
    slope.fill(0);
    turn.fill(0);
    for (const v of found) {
      wayTo(v);
      const x = ways[0],
        y = ways[1],
        n = 3 * corner[v];
      xx += x * x;
      xy += x * y;
      yy += y * y;
      const rise = reach[v] === Infinity ? 0 : reach[v] - reach[s];
      const tx = normals[n] - nx,
        ty = normals[n + 1] - ny,
        tz = normals[n + 2] - nz;
      slope[0] += x * rise;
      slope[1] += y * rise;
      turn[0] += x * tx;
      turn[1] += x * ty;
      turn[2] += x * tz;
      turn[3] += y * tx;
      turn[4] += y * ty;
      turn[5] += y * tz;
    }
    const det = xx * yy - xy * xy;
    if (!(det > ALL_ROUND * (xx + yy) * (xx + yy))) return false;
    const a = slope[0],
      b = slope[1];
    slope[0] = (yy * a - xy * b) / det;
    slope[1] = (xx * b - xy * a) / det;
    for (let i = 0; i < 3; i++) {
      const c = turn[i],
        d = turn[3 + i];
      turn[i] = (yy * c - xy * d) / det;
      turn[3 + i] = (xx * d - xy * c) / det;
    }
    return true;
  };
  const isOnCourse = (v: number): boolean => {
    if (reach[s] === Infinity) return true;
    wayTo(v);
    const expected = reach[s] + slope[0] * ways[0] + slope[1] * ways[1];
    return Math.abs(expected - reach[v]) <= COURSE_MM + COURSE_SHARE * reach[v];
  };
  return {
    fit: (from, depth) => {
      start(from);
      return gather(depth) && solve() && found.every(isOnCourse);
    },
    at: (v) => {
      const way = wayTo(v),
        x = ways[0],
        y = ways[1],
        n = 3 * corner[v];
      const ex = nx + turn[0] * x + turn[3] * y,
        ey = ny + turn[1] * x + turn[4] * y;
      const ez = nz + turn[2] * x + turn[5] * y;
      const length = Math.sqrt(ex * ex + ey * ey + ez * ez);
      const dx = ex / length - normals[n],
        dy = ey / length - normals[n + 1],
        dz = ez / length - normals[n + 2];
      if (!(Math.sqrt(dx * dx + dy * dy + dz * dz) * way <= toleranceMm)) return NaN;
      return reach[s] === Infinity ? Infinity : reach[s] + slope[0] * x + slope[1] * y;
    },
  };
}

import { emptyBounds, include, type Bounds } from '../core/bounds.js';
import type { Mesh } from '../part/types.js';

/**
 * A square lattice in plan, turned a little. Node `j * columns + i` stands in the middle of its cell, at
 * `(u0 + i pitch, v0 + j pitch)` of the turned axes. Walls along a part's own axes then cross rows and columns, so that
 * what their cells miss evens out: straight, a pocket's area would be off by up to a pitch along each wall.
 */
export interface PlanLattice {
  readonly u0: number;
  readonly v0: number;
  readonly pitchMm: number;
  readonly columns: number;
  readonly rows: number;
}

/**
 * atan of the third power of the golden ratio's fraction, 13.3 degrees: far from every direction in which the points of
 * a lattice lie in close lines, so that a round of them reaches about as far along walls as a true one.
 */
const SLOPE = Math.sqrt(5) - 2;
const COS = 1 / Math.sqrt(1 + SLOPE * SLOPE),
  SIN = SLOPE * COS;

/** Coordinates of a point of the plan along the lattice's axes, mm. */
export const toLattice = (x: number, y: number): [number, number] => [COS * x + SIN * y, COS * y - SIN * x];
/** The point of the plan that has these coordinates, mm. */
export const fromLattice = (u: number, v: number): [number, number] => [COS * u - SIN * v, SIN * u + COS * v];

/** Points moved onto the lattice's axes. @param positions (3 n) mm @returns (3 n) */
export function turnedPositions(positions: Float64Array): Float64Array {
  const out = new Float64Array(positions.length);
  for (let i = 0; i < out.length; i += 3) {
    [out[i], out[i + 1]] = toLattice(positions[i], positions[i + 1]);
    out[i + 2] = positions[i + 2];
  }
  return out;
}

/** Bounds of a plan rectangle along the lattice's axes. */
export function turnedBounds({ min, max }: Bounds): Bounds {
  const bounds = emptyBounds();
  for (const x of [min[0], max[0]])
    for (const y of [min[1], max[1]]) include(bounds, [...toLattice(x, y), min[2]], 0);
  return bounds;
}

/** The lattice of this pitch over turned bounds, and `marginMm` all round. */
export function planLattice({ min, max }: Bounds, pitchMm: number, marginMm: number): PlanLattice {
  const cells = (k: number): number => Math.ceil((max[k] - min[k] + 2 * marginMm) / pitchMm) + 1;
  return {
    u0: min[0] - marginMm,
    v0: min[1] - marginMm,
    pitchMm,
    columns: cells(0),
    rows: cells(1),
  };
}

/** Middle of a node's cell in plan, mm. */
export const nodeAt = ({ u0, v0, pitchMm, columns }: PlanLattice, node: number): [number, number] =>
  fromLattice(u0 + (node % columns) * pitchMm, v0 + Math.floor(node / columns) * pitchMm);

/**
 * Height of a mesh's highest facet over each node, mm; -Infinity where there is none. Upright facets have no height of
 * their own.
 *
 * @param mesh its positions turned
 * @returns (nodes)
 */
export function topHeights({ positions, triangles }: Mesh, lattice: PlanLattice): Float32Array {
  const { u0, v0, pitchMm, columns, rows } = lattice;
  const tops = new Float32Array(columns * rows).fill(-Infinity);
  for (let h = 0; h < triangles.length; h += 3) {
    const a = 3 * triangles[h],
      b = 3 * triangles[h + 1],
      c = 3 * triangles[h + 2];
    const ax = (positions[a] - u0) / pitchMm,
      ay = (positions[a + 1] - v0) / pitchMm,
      az = positions[a + 2];
    const bx = (positions[b] - u0) / pitchMm - ax,
      by = (positions[b + 1] - v0) / pitchMm - ay;
    const cx = (positions[c] - u0) / pitchMm - ax,
      cy = (positions[c + 1] - v0) / pitchMm - ay;
    const area = bx * cy - by * cx;
    if (area === 0) continue;
    const bz = positions[b + 2] - az,
      cz = positions[c + 2] - az;
    const firstI = Math.max(0, Math.ceil(ax + Math.min(0, bx, cx))),
      lastI = Math.min(columns - 1, Math.floor(ax + Math.max(0, bx, cx)));
    const firstJ = Math.max(0, Math.ceil(ay + Math.min(0, by, cy))),
      lastJ = Math.min(rows - 1, Math.floor(ay + Math.max(0, by, cy)));
    for (let j = firstJ; j <= lastJ; j++) {
      for (let i = firstI; i <= lastI; i++) {
        const v = ((i - ax) * cy - (j - ay) * cx) / area,
          w = (bx * (j - ay) - by * (i - ax)) / area;
        if (v < 0 || w < 0 || v + w > 1) continue;
        const top = az + v * bz + w * cz;
        if (top > tops[j * columns + i]) tops[j * columns + i] = top;
      }
    }
  }
  return tops;
}

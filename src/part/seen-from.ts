import { boundsOf } from '../core/bounds.js';
import { cross, dot, unit, type Frame } from './block-sides.js';
import type { Direction } from './directions.js';
import type { FacetNormals } from './facet-normals.js';
import type { Mesh } from './types.js';

/** Points spread evenly over some facets, each standing for its share of them. */
export interface SurfaceSamples {
  /** (3 S) mm */
  readonly points: Float64Array;
  /** (S) facet of each */
  readonly facetOf: Int32Array;
  /** (S) mm² */
  readonly areas: Float64Array;
}

/** How a point of the surface looks to a tool that comes from a direction. */
export const SEEN = { open: 0, undercut: 1, hidden: 2 } as const;

/** Facets are cut into no more pieces than this along each edge. */
const MOST_PIECES = 64;

/** The middles of equal pieces of each facet: as many pieces as it is large, one at least. */
export function surfaceSamples(
  { positions, triangles }: Mesh,
  { areas }: FacetNormals,
  isCounted: (f: number) => boolean,
  pieceMm2: number,
): SurfaceSamples {
  const pieces = new Uint8Array(areas.length);
  let count = 0;
  for (let f = 0; f < areas.length; f++) {
    if (!isCounted(f) || !(areas[f] > 0)) continue;
    pieces[f] = Math.min(MOST_PIECES, Math.ceil(Math.sqrt(areas[f] / pieceMm2)));
    count += pieces[f] ** 2;
  }
  const points = new Float64Array(3 * count),
    facetOf = new Int32Array(count),
    own = new Float64Array(count);
  let s = 0;
  for (let f = 0; f < areas.length; f++) {
    const n = pieces[f],
      [a, b, c] = [0, 1, 2].map((k) => 3 * triangles[3 * f + k]);
    // Rows of pieces from corner a on: those that stand as the facet does, and between them those turned over.
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < 2 * i + 1; j++, s++) {
        const v = (i - (j >> 1) + (j % 2 === 0 ? 1 / 3 : -1 / 3)) / n,
          w = ((j >> 1) + (j % 2 === 0 ? 1 / 3 : 2 / 3)) / n;
        for (let k = 0; k < 3; k++)
          points[3 * s + k] = (1 - v - w) * positions[a + k] + v * positions[b + k] + w * positions[c + k];
        facetOf[s] = f;
        own[s] = areas[f] / (n * n);
      }
    }
  }
  return { points, facetOf, areas: own };
}

/** Pixels along the longer side of the plan. */
const PIXELS = 600;
/** Walls count as upright within this, as `VERTICAL_RAD` of the classes does. */
const UPRIGHT_SINE = Math.sin((0.5 * Math.PI) / 180);
/** Steeper than 45 degrees a point is looked for a little beside its wall, pixels: further than half a diagonal. */
const BESIDE_PIXELS = 0.75;

/** Heights of the part seen from a direction, by the middles of pixels; and what it says of points. */
export function viewFrom(mesh: Mesh, { normals }: FacetNormals, block: Frame, up: Direction) {
  const [right, back] = planAxes(block, up);
  const turned = new Float64Array(mesh.positions.length);
  const turn = (from: Float64Array, at: number, to: Float64Array, i: number): void => {
    const x = from[at],
      y = from[at + 1],
      z = from[at + 2];
    to[i] = right[0] * x + right[1] * y + right[2] * z;
    to[i + 1] = back[0] * x + back[1] * y + back[2] * z;
    to[i + 2] = up[0] * x + up[1] * y + up[2] * z;
  };
  for (let i = 0; i < turned.length; i += 3) turn(mesh.positions, i, turned, i);
  const map = heightMap(turned, mesh.triangles);
  const { min, max, pixelMm, width, depth, tops } = map;
  const point = new Float64Array(3),
    normal = new Float64Array(3);
  /** What a point of facet f looks like; `point` and `normal` then hold it, turned. */
  const look = (points: Float64Array, s: number, f: number): number => {
    turn(points, 3 * s, point, 0);
    turn(normals, 3 * f, normal, 0);
    if (normal[2] < -UPRIGHT_SINE) return SEEN.undercut;
    const across = Math.sqrt(normal[0] * normal[0] + normal[1] * normal[1]);
    // What leans over a little is looked at from beside its upper end.
    const beside =
      across < Math.SQRT1_2
        ? 0
        : (BESIDE_PIXELS * pixelMm + (Math.max(0, -normal[2]) / across) * (max[2] - point[2])) / across;
    const i = Math.floor((point[0] + beside * normal[0] - min[0]) / pixelMm),
      j = Math.floor((point[1] + beside * normal[1] - min[1]) / pixelMm);
    if (i < 0 || j < 0 || i >= width || j >= depth) return SEEN.open;
    return tops[j * width + i] > point[2] + pixelMm ? SEEN.hidden : SEEN.open;
  };
  return { look, at: point, map };
}

/** Two directions in plan, along the block's where one of its own is up. */
function planAxes(block: Frame, up: Direction): [Direction, Direction] {
  const [least] = [...block].sort((a, b) => Math.abs(dot(a, up)) - Math.abs(dot(b, up)));
  const back = unit(cross(up, least));
  return [cross(back, up), back];
}

export type HeightMap = ReturnType<typeof heightMap>;

/** (width · depth) height of the highest facet over the middle of each pixel, mm; -Infinity where there is none. */
function heightMap(positions: Float64Array, triangles: Uint32Array) {
  const { min, max } = boundsOf(positions);
  const pixelMm = Math.max(max[0] - min[0], max[1] - min[1], 1e-9) / PIXELS;
  const width = Math.floor((max[0] - min[0]) / pixelMm) + 1,
    depth = Math.floor((max[1] - min[1]) / pixelMm) + 1;
  const tops = new Float32Array(width * depth).fill(-Infinity);
  for (let h = 0; h < triangles.length; h += 3) {
    const a = 3 * triangles[h],
      b = 3 * triangles[h + 1],
      c = 3 * triangles[h + 2];
    const ax = (positions[a] - min[0]) / pixelMm - 0.5,
      ay = (positions[a + 1] - min[1]) / pixelMm - 0.5;
    const bx = (positions[b] - positions[a]) / pixelMm,
      by = (positions[b + 1] - positions[a + 1]) / pixelMm;
    const cx = (positions[c] - positions[a]) / pixelMm,
      cy = (positions[c + 1] - positions[a + 1]) / pixelMm;
    const area = bx * cy - by * cx;
    if (area === 0) continue;
    const z = positions[a + 2],
      bz = positions[b + 2] - z,
      cz = positions[c + 2] - z;
    const firstI = Math.ceil(ax + Math.min(0, bx, cx)),
      lastI = Math.floor(ax + Math.max(0, bx, cx)),
      lastJ = Math.floor(ay + Math.max(0, by, cy));
    for (let j = Math.ceil(ay + Math.min(0, by, cy)); j <= lastJ; j++) {
      for (let i = firstI; i <= lastI; i++) {
        const v = ((i - ax) * cy - (j - ay) * cx) / area,
          w = (bx * (j - ay) - by * (i - ax)) / area;
        if (v < 0 || w < 0 || v + w > 1) continue;
        const top = z + v * bz + w * cz;
        if (top > tops[j * width + i]) tops[j * width + i] = top;
      }
    }
  }
  return { min, max, pixelMm, width, depth, tops };
}

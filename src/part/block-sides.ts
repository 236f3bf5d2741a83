import { listedFirst, type Direction } from './directions.js';
import type { FacetNormals } from './facet-normals.js';
import type { Mesh } from './types.js';

/** Three directions at right angles, right-handed. */
export type Frame = readonly [Direction, Direction, Direction];

/** The block that a part is cut from, as far as the part tells. */
export interface BlockSides {
  readonly frame: Frame;
  /** (F) 1: flat on a side of the block, so that nothing is cut there but what squares it */
  readonly isSide: Uint8Array;
}

/** A facet this close to the block's side, mm, and turned from it by no more lies on it. */
const ON_SIDE_MM = 0.01;
const ON_SIDE_COSINE = Math.cos((0.5 * Math.PI) / 180);
/** Directions count as at right angles within this cosine. */
const RIGHT_ANGLE_COSINE = 2e-3;
/** Another frame must hold so much more of the surface, as a share, to be taken before an earlier one. */
const WORTH_A_TURN = 0.001;

/**
 * The block round a part: of all boxes round it along directions at right angles, the one on whose sides most
 * of its flat surface lies.
 *
 * @param directions those that boxes are tried along; of equals the first are taken
 */
export function blockSides(mesh: Mesh, facets: FacetNormals, directions: readonly Direction[]): BlockSides {
  const sideOf = listedFirst((direction: Direction) => flatSide(mesh, facets, direction));
  const total = facets.areas.reduce((sum, area) => sum + area, 0);
  let frame: Frame | null = null,
    most = -Infinity;
  for (const [i, a] of directions.entries()) {
    for (const b of directions.slice(i + 1)) {
      if (Math.abs(dot(a, b)) > RIGHT_ANGLE_COSINE) continue;
      const c = unit(cross(a, b));
      const own: Frame = [a, cross(c, a), c];
      const area = signed(own).reduce((sum, direction) => sum + sideOf(direction).areaMm2, 0);
      if (area <= most + WORTH_A_TURN * total) continue;
      most = area;
      frame = own;
    }
  }
  if (frame === null) throw new RangeError('blockSides: no two directions at right angles');
  const isSide = new Uint8Array(facets.areas.length);
  for (const direction of signed(frame)) for (const f of sideOf(direction).faces) isSide[f] = 1;
  return { frame, isSide };
}

/** Each direction of a frame and its opposite. */
export const signed = (directions: readonly Direction[]): Direction[] =>
  directions.flatMap((one): Direction[] => [one, [0 - one[0], 0 - one[1], 0 - one[2]]]);

/** Flat surface on the plane that touches the part from a direction. */
function flatSide({ positions, triangles }: Mesh, { normals, areas }: FacetNormals, [x, y, z]: Direction) {
  const level = (v: number): number =>
    x * positions[3 * v] + y * positions[3 * v + 1] + z * positions[3 * v + 2];
  let top = -Infinity;
  for (let v = 0; v < positions.length / 3; v++) top = Math.max(top, level(v));
  const faces: number[] = [];
  let areaMm2 = 0;
  for (let f = 0; f < areas.length; f++) {
    if (x * normals[3 * f] + y * normals[3 * f + 1] + z * normals[3 * f + 2] < ON_SIDE_COSINE) continue;
    if ([0, 1, 2].some((k) => level(triangles[3 * f + k]) < top - ON_SIDE_MM)) continue;
    faces.push(f);
    areaMm2 += areas[f];
  }
  return { faces, areaMm2 };
}

export const dot = (a: Direction, b: Direction): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Direction, b: Direction): Direction => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export function unit(a: Direction): Direction {
  const length = Math.sqrt(dot(a, a));
  return [a[0] / length, a[1] / length, a[2] / length];
}

import { RAD_PER_DEG } from '../../../src/core/units.js';
import { soupBuilder, type Point } from './soup.js';

/** Measures of a box pocket in a block, mm. */
export interface BoxPocketSpec {
  readonly width: number;
  readonly length: number;
  /** depth at the pocket's centre */
  readonly depth: number;
  /** floor's wall angle, rising towards +x; 0 or absent: level */
  readonly tiltDeg?: number;
  /** width of the land round the pocket; default 15 */
  readonly land?: number;
}

const rectangle = (halfX: number, halfY: number, z: (x: number) => number): Point[] =>
  [
    [1, 1],
    [-1, 1],
    [-1, -1],
    [1, -1],
  ].map(([x, y]) => [x * halfX, y * halfY, z(x * halfX)]);

/**
 * Block, top at z = 0, with a sharp rectangular pocket about the origin in as few triangles as there can
 * be: floor 2, walls 8, land 8, outside 10.
 */
export function boxPocket({ width, length, depth, tiltDeg = 0, land = 15 }: BoxPocketSpec): Float64Array {
  const slope = Math.tan(tiltDeg * RAD_PER_DEG);
  if (!(depth > (slope * width) / 2))
    throw new RangeError(`boxPocket: a floor at ${tiltDeg} degrees comes out of the top`);
  const bottomZ = -depth - (slope * width) / 2 - 10;
  const outer = (z: number): Point[] => rectangle(width / 2 + land, length / 2 + land, () => z);
  const rim = rectangle(width / 2, length / 2, () => 0);
  const floor = rectangle(width / 2, length / 2, (x) => x * slope - depth);
  const soup = soupBuilder();
  soup.band(outer(bottomZ), outer(0));
  soup.band(outer(0), rim);
  soup.band(rim, floor);
  soup.polygon(floor);
  soup.polygon(outer(bottomZ).reverse());
  return soup.corners();
}

/** Measures of `threePlaneCorner`, mm: cube side, corner's place along x and y, and its height. */
export const CORNER = { side: 60, at: 20, floorZ: 20 } as const;

/**
 * Cube from the origin with its far upper quarter cut away: a level floor and two walls meet at
 * (`CORNER.at`, `CORNER.at`, `CORNER.floorZ`), a valley corner open to +x, +y and +z. `draftDeg` leans both
 * walls outwards.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: a table of faces, one corner a line.
export function threePlaneCorner(draftDeg = 0): Float64Array {
  const { side: s, at: a, floorZ: f } = CORNER;
  const t = a - (s - f) * Math.tan(draftDeg * RAD_PER_DEG);
  if (!(t > 0)) throw new RangeError(`threePlaneCorner: draft ${draftDeg} degrees cuts the block away`);
  const soup = soupBuilder();
  soup.polygon([
    [0, 0, 0],
    [0, s, 0],
    [s, s, 0],
    [s, 0, 0],
  ]);
  soup.polygon([
    [0, 0, 0],
    [0, 0, s],
    [0, s, s],
    [0, s, 0],
  ]);
  soup.polygon([
    [0, 0, 0],
    [s, 0, 0],
    [s, 0, s],
    [0, 0, s],
  ]);
  soup.polygon([
    [s, 0, 0],
    [s, s, 0],
    [s, s, f],
    [s, a, f],
    [s, t, s],
    [s, 0, s],
  ]);
  soup.polygon([
    [0, s, 0],
    [0, s, s],
    [t, s, s],
    [a, s, f],
    [s, s, f],
    [s, s, 0],
  ]);
  soup.polygon([
    [0, 0, s],
    [s, 0, s],
    [s, t, s],
    [t, t, s],
    [t, s, s],
    [0, s, s],
  ]);
  soup.polygon([
    [a, a, f],
    [s, a, f],
    [s, s, f],
    [a, s, f],
  ]);
  soup.polygon([
    [a, a, f],
    [a, s, f],
    [t, s, s],
    [t, t, s],
  ]);
  soup.polygon([
    [a, a, f],
    [t, t, s],
    [s, t, s],
    [s, a, f],
  ]);
  return soup.corners();
}

import { soupBuilder, type Point, type SoupBuilder } from './soup.js';

/** A rectangle with round corners, lying level. */
export interface RoundedRing {
  readonly halfX: number;
  readonly halfY: number;
  /** of the corners; as much as a half width for round ends, 0 for sharp corners */
  readonly radius: number;
  readonly z: number;
}

/** A square piece of a plate with one pocket in its top. */
export interface PocketTile {
  /** the pocket's rings from its rim, at the plate's top, to the floor */
  readonly rings: readonly RoundedRing[];
  /** facets of each quarter of a round corner */
  readonly facets: number;
  /** the pocket goes right through; its last ring lies on the bottom */
  readonly through?: boolean;
  /** middle of the pocket from the tile's, mm */
  readonly at?: readonly [number, number];
  /** of the pocket about its middle, degrees; each corner of the tile must still see its quarter of the rim */
  readonly turnDeg?: number;
}

/** A plate of equal rectangular tiles side by side, top at z = 0. */
export interface PocketPlateSpec {
  readonly tileX: number;
  readonly tileY: number;
  readonly bottomZ: number;
  /** rows from -y to +y, each from -x to +x */
  readonly tiles: readonly (readonly PocketTile[])[];
}

/**
 * Plate with pockets, each tile's middle about the origin for a single one. Rings of one pocket correspond
 * point by point, so walls between them are plane where the corners allow it.
 *
 * @throws {RangeError} if a pocket is turned or moved so far that its rim hides from the tile's corners
 */
export function pocketPlate({ tileX, tileY, bottomZ, tiles }: PocketPlateSpec): Float64Array {
  const soup = soupBuilder();
  const [rows, columns] = [tiles.length, tiles[0].length];
  const x = (i: number): number => (i - columns / 2) * tileX;
  const y = (j: number): number => (j - rows / 2) * tileY;
  tiles.forEach((row, j) => {
    row.forEach((tile, i) => {
      const frame = (z: number): Point[] => [
        [x(i + 1), y(j + 1), z],
        [x(i), y(j + 1), z],
        [x(i), y(j), z],
        [x(i + 1), y(j), z],
      ];
      addPocket(soup, tile, frame(0), frame(bottomZ), [x(i + 0.5), y(j + 0.5)]);
      const sides = [j === rows - 1, i === 0, j === 0, i === columns - 1];
      sides.forEach((outer, k) => {
        const next = (k + 1) % 4;
        if (outer) soup.polygon([frame(bottomZ)[k], frame(bottomZ)[next], frame(0)[next], frame(0)[k]]);
      });
    });
  });
  return soup.corners();
}

function addPocket(
  soup: SoupBuilder,
  { rings, facets, through = false, at = [0, 0], turnDeg = 0 }: PocketTile,
  top: readonly Point[],
  bottom: readonly Point[],
  [mx, my]: readonly [number, number],
): void {
  const [c, s] = [Math.cos((turnDeg * Math.PI) / 180), Math.sin((turnDeg * Math.PI) / 180)];
  const placed = rings.map((ring) =>
    ringPoints(ring, facets).map(
      ([px, py, z]): Point => [mx + at[0] + c * px - s * py, my + at[1] + s * px + c * py, z],
    ),
  );
  const last = placed[placed.length - 1];
  addFrame(soup, top, placed[0], false);
  for (let i = 0; i + 1 < placed.length; i++) soup.band(placed[i], placed[i + 1]);
  if (through) addFrame(soup, bottom, last, true);
  else {
    soup.polygon(last.filter((p, k) => !samePoint(p, last[(k + 1) % last.length])));
    soup.polygon([...bottom].reverse());
  }
}

/** Points counter-clockwise, a quarter round in each corner from (+x, +y) on; equal ones where nothing is between. */
function ringPoints({ halfX, halfY, radius, z }: RoundedRing, facets: number): Point[] {
  const points: Point[] = [];
  for (let quarter = 0; quarter < 4; quarter++) {
    for (let k = 0; k <= facets; k++) {
      // Exact at both ends, so that round ends close bit by bit.
      const angle = (k * Math.PI) / 2 / facets;
      const [u, v] = k === 0 ? [1, 0] : k === facets ? [0, 1] : [Math.cos(angle), Math.sin(angle)];
      const [ux, uy] = [
        [u, v],
        [-v, u],
        [-u, -v],
        [v, -u],
      ][quarter];
      const [sx, sy] = [
        [1, 1],
        [-1, 1],
        [-1, -1],
        [1, -1],
      ][quarter];
      points.push([sx * (halfX - radius) + radius * ux, sy * (halfY - radius) + radius * uy, z]);
    }
  }
  return points;
}

/** Flat between a rectangle's four corners and a ring of four quarters, facing up unless `down`. */
function addFrame(soup: SoupBuilder, frame: readonly Point[], ring: readonly Point[], down: boolean): void {
  const n = ring.length;
  for (let k = 0; k < n; k++) {
    const next = (k + 1) % n;
    const [here, there] = [Math.floor((4 * k) / n), Math.floor((4 * next) / n)];
    const add = (a: Point, b: Point, c: Point): void => {
      if (samePoint(a, b) || samePoint(b, c) || samePoint(a, c)) return;
      const twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
      if (!(twice > 0)) throw new RangeError(`pocketPlate: the rim hides from a corner of its tile at ${a}`);
      if (down) soup.triangle(a, c, b);
      else soup.triangle(a, b, c);
    };
    add(ring[k], frame[here], ring[next]);
    if (here !== there) add(ring[next], frame[here], frame[there]);
  }
}

const samePoint = (a: Point, b: Point): boolean => a[0] === b[0] && a[1] === b[1] && a[2] === b[2];

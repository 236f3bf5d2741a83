import { planBounds } from '../core/bounds.js';
import type { PathD, PathsD } from 'clipper2-ts';
import { ODD_TURN_COS, ODD_TURN_SIN } from '../core/odd-turn.js';
import { ringArea, type Rings } from './ring-measures.js';

export type Join = 'round' | 'miter';

/**
 * Clipping and offsetting of plan rings. Results: outer rings counter-clockwise, holes clockwise, free of
 * crossings.
 */
export interface Clipper {
  /** What an even-odd reading of the rings, or one that counts every covered point, encloses. */
  readonly resolve: (rings: Rings, rule: 'EvenOdd' | 'NonZero') => Float64Array[];
  readonly unite: (a: Rings, b: Rings) => Float64Array[];
  readonly intersect: (a: Rings, b: Rings) => Float64Array[];
  readonly subtract: (a: Rings, b: Rings) => Float64Array[];
  /**
   * The region grown by `byMm` (shrunk if negative; empty when nothing is left).
   *
   * @param arcToleranceMm how far a chord may stay inside a round corner
   */
  readonly offset: (rings: Rings, byMm: number, join: Join, arcToleranceMm: number) => Float64Array[];
}

type Library = typeof import('clipper2-ts');

/** Loads the clipping library on first use. */
export async function loadClipper(): Promise<Clipper> {
  return clipperOf(await import('clipper2-ts'));
}

/** Decimals of a mm that the library's whole numbers keep. */
const DECIMALS = 6;
/** Corners sharper than about 29 degrees are cut off rather than drawn out to a long tip. */
const MITER_LIMIT = 4;

function clipperOf({ Clipper: library, EndType, FillRule, JoinType }: Library): Clipper {
  const { EvenOdd, NonZero } = FillRule;
  return {
    resolve: (rings, rule) =>
      inFrame(rings, [], (paths) => library.unionD(paths, [], FillRule[rule], DECIMALS)),
    unite: (a, b) =>
      inFrame(a, b, (left, right) => library.unionD(plain(left), plain(right), NonZero, DECIMALS)),
    intersect: (a, b) => inFrame(a, b, (left, right) => library.intersectD(left, right, EvenOdd, DECIMALS)),
    subtract: (a, b) => inFrame(a, b, (left, right) => library.differenceD(left, right, EvenOdd, DECIMALS)),
    offset: (rings, byMm, join, arcToleranceMm) => {
      if (!(arcToleranceMm > 0))
        throw new RangeError(`offset: arc tolerance ${arcToleranceMm}, expected above 0`);
      const kind = join === 'round' ? JoinType.Round : JoinType.Miter;
      return inFrame(rings, [], (paths) =>
        library.inflatePathsD(
          plain(paths).filter((path) => hasRoom(path, -byMm)),
          byMm,
          kind,
          EndType.Polygon,
          MITER_LIMIT,
          DECIMALS,
          arcToleranceMm,
        ),
      );
    },
  };

  /** Crossings resolved, outer rings counter-clockwise. */
  function plain(paths: PathsD): PathsD {
    return library.unionD(paths, [], EvenOdd, DECIMALS);
  }
}

/**
 * False where a disc surely does not fit: of outer rings that shrinking leaves nothing of, which would cost it as much
 * as any. Holes have room.
 *
 * @param radiusMm below 0: anything has room
 */
function hasRoom(path: PathD, radiusMm: number): boolean {
  if (radiusMm <= 0) return true;
  const ring = Float64Array.from(path.flatMap(({ x, y }) => [x, y])),
    area = ringArea(ring);
  if (area < 0) return true;
  const { min, max } = planBounds([ring]);
  const least = Math.min(max[0] - min[0], max[1] - min[1]);
  return area >= Math.PI * radiusMm * radiusMm && least >= 2 * radiusMm;
}

// The library counts in whole numbers: rings are moved to their own middle on the way in and back on the way
// out, so that far from the origin these stay within what a double holds exactly. And they are turned, since
// on many level edges that overlap, which parts along the axes are full of, it was seen to run without end
// (2.0.1).

function inFrame(a: Rings, b: Rings, work: (a: PathsD, b: PathsD) => PathsD): Float64Array[] {
  const [cx, cy] = middle([...a, ...b]);
  const pathsOf = (rings: Rings): PathsD =>
    rings.map((ring) =>
      Array.from({ length: ring.length / 2 }, (_, i) => {
        const x = ring[2 * i] - cx,
          y = ring[2 * i + 1] - cy;
        return { x: ODD_TURN_COS * x - ODD_TURN_SIN * y, y: ODD_TURN_SIN * x + ODD_TURN_COS * y };
      }),
    );
  return work(pathsOf(a), pathsOf(b))
    .map((path) =>
      Float64Array.from(
        path.flatMap(({ x, y }) => [
          rounded(ODD_TURN_COS * x + ODD_TURN_SIN * y + cx),
          rounded(ODD_TURN_COS * y - ODD_TURN_SIN * x + cy),
        ]),
      ),
    )
    .filter((ring) => ring.length >= 6 && ringArea(ring) !== 0);
}

/**
 * What went through the frame unchanged comes out as it was: to 1e-5 mm, ten times the library's own steps.
 */
const rounded = (mm: number): number => Math.round(mm * 1e5) / 1e5 + 0;

function middle(rings: Rings): [number, number] {
  const { min, max } = planBounds(rings);
  return min[0] <= max[0] ? [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2] : [0, 0];
}

import type { CrossSection, ManifoldToplevel, SimplePolygon } from 'manifold-3d';
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

let loading: Promise<ManifoldToplevel> | undefined;

/**
 * Loads the clipping library once, on first use: its WASM takes some 40 ms to start.
 *
 * @param wasmUrl where the library's `manifold.wasm` is, if not beside its script (in a bundled page)
 */
export async function loadClipper(wasmUrl?: string): Promise<Clipper> {
  loading ??= import('manifold-3d').then(async ({ default: start }) => {
    const library = await start(wasmUrl === undefined ? undefined : { locateFile: () => wasmUrl });
    library.setup();
    return library;
  });
  return clipperOf(await loading);
}

function clipperOf(library: ManifoldToplevel): Clipper {
  const combine = (a: Rings, b: Rings, how: 'add' | 'subtract' | 'intersect') => (
    inFrame(a.length > 0 ? a : b, (centre) => {
      const left = section(library, a, centre, 'EvenOdd'), right = section(library, b, centre, 'EvenOdd');
      const result = left[how](right);
      left.delete();
      right.delete();
      return result;
    }));
  return {
    resolve: (rings, rule) => inFrame(rings, (centre) => section(library, rings, centre, rule)),
    unite: (a, b) => combine(a, b, 'add'),
    intersect: (a, b) => combine(a, b, 'intersect'),
    subtract: (a, b) => combine(a, b, 'subtract'),
    offset: (rings, byMm, join, arcToleranceMm) => inFrame(rings, (centre) => {
      const plain = section(library, rings, centre, 'EvenOdd');
      const segments = segmentsOfCircle(Math.abs(byMm), arcToleranceMm);
      const result = plain.offset(byMm, join === 'round' ? 'Round' : 'Miter', MITER_LIMIT, segments);
      plain.delete();
      return result;
    }),
  };
}

/** Corners sharper than about 29 degrees are cut off rather than drawn out to a long tip. */
const MITER_LIMIT = 4;

/** Sides of a circle whose sagitta stays within the tolerance. */
function segmentsOfCircle(radius: number, tolerance: number): number {
  if (!(tolerance > 0)) throw new RangeError(`offset: arc tolerance ${tolerance}, expected above 0`);
  return radius <= tolerance ? 8 : Math.max(8, 4 * Math.ceil(Math.PI / (4 * Math.acos(1 - tolerance / radius))));
}

// The library's script hands coordinates over in single precision: far from the origin that would cost microns,
// so rings are moved to their own middle on the way in and back on the way out.

function inFrame(rings: Rings, work: (centre: [number, number]) => CrossSection): Float64Array[] {
  const centre = middle(rings);
  const result = work(centre);
  const polygons = result.toPolygons();
  result.delete();
  return polygons
    .map((polygon) => Float64Array.from(polygon.flatMap(([x, y]) => [x + centre[0], y + centre[1]])))
    .filter((ring) => ring.length >= 6 && ringArea(ring) !== 0);
}

function middle(rings: Rings): [number, number] {
  const low = [Infinity, Infinity], high = [-Infinity, -Infinity];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      low[i % 2] = Math.min(low[i % 2], ring[i]);
      high[i % 2] = Math.max(high[i % 2], ring[i]);
    }
  }
  return low[0] <= high[0] ? [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2] : [0, 0];
}

function section(
  library: ManifoldToplevel, rings: Rings, [cx, cy]: [number, number], rule: 'EvenOdd' | 'NonZero',
): CrossSection {
  // The library throws on an empty list.
  if (rings.length === 0) return library.CrossSection.square(0);
  const polygons = rings.map((ring) => {
    const polygon: SimplePolygon = [];
    for (let i = 0; i < ring.length; i += 2) polygon.push([ring[i] - cx, ring[i + 1] - cy]);
    return polygon;
  });
  return library.CrossSection.ofPolygons(polygons, rule);
}

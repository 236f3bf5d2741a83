import { mapTo } from '../core/map-to.js';
import { rowsOf } from '../core/rows-of.js';
import { nextCorner } from '../part/half-edge.js';
import type { Surface } from '../part/types.js';

/**
 * The surface as a picture needs it: one vertex per point, normal, region, band of ridges and finishing cutter, so that
 * those never blur together.
 */
export interface ViewData {
  /** (3 V) mm */
  readonly positions: Float64Array;
  /** (3 V) unit normals of the true surface */
  readonly normals: Float64Array;
  /**
   * (V) how many of the surveyed radii reach each vertex, and of the way to the next the share that its reach radius
   * has come, in steps of `COUNT_STEP`; 255: not asked
   */
  readonly counts: Float32Array;
  /** (V) region; -1 where work is limited to elsewhere */
  readonly regions: Int32Array;
  /** (V) band of the ridge that passes leave, see `ridgeBands` */
  readonly ridges: Uint8Array;
  /** (V) which cutter of the ladder finishes it, from 0; their number: none does */
  readonly finishers: Uint8Array;
  /** bands of gaps that are known */
  readonly gaps: readonly KnownGaps[];
  /** (3 F) */
  readonly triangles: Uint32Array;
  /** (2 E) ends of edges where the surface folds or is open */
  readonly creases: Uint32Array;
  /** (2 B) ends of edges between regions */
  readonly borders: Uint32Array;
}

/** The gap of one cutter over a picture. */
export interface KnownGaps {
  readonly cutterId: string;
  /** (V) how many limits between bands (`gapLimits`) it exceeds; 0: reached, or not asked */
  readonly bands: Uint8Array;
}

export interface ViewInput {
  readonly surface: Omit<Surface, 'parent'>;
  /** (F) region of each facet */
  readonly regionOfFace: ArrayLike<number>;
  /** (V) */
  readonly counts: Float32Array;
  /** (F) */
  readonly ridgeOfFace: Uint8Array;
  /** (F) */
  readonly finisherOfFace: Uint8Array;
  /** (3 V) where its vertices truly lie, mm */
  readonly places: Float64Array;
}

/** Bands of reach are drawn where the count passes whole numbers: finer steps would not be seen. */
export const COUNT_STEP = 1 / 64;
/** More than there are bands of ridges. */
const RIDGE_BANDS = 16;
/** More than there are cutters in a ladder, with none. */
const MOST_FINISHERS = 128;
/** Cosine of about 1 degree: corners that turn less are one vertex of the picture. */
const SAME_NORMAL = 0.99985;

/**
 * The picture of a surveyed surface. Facets are put in an order in which neighbours follow each other, which
 * is what makes it pack well.
 */
export function viewData({
  surface,
  regionOfFace,
  counts,
  ridgeOfFace,
  finisherOfFace,
  places,
}: ViewInput): Omit<ViewData, 'gaps'> {
  const { mesh, topology, normals } = surface;
  const order = walkFacets(topology.twin);
  const told = mapTo(
    new Int32Array(ridgeOfFace.length),
    regionOfFace,
    (region, f) => ((region + 1) * RIDGE_BANDS + ridgeOfFace[f]) * MOST_FINISHERS + finisherOfFace[f],
  );
  const { cornerOf, vertexOf } = splitVertices(surface, told, order);
  const vertices = cornerOf.map((c) => mesh.triangles[c]);
  const ofFacets = (values: Uint8Array): Uint8Array =>
    mapTo(new Uint8Array(vertices.length), cornerOf, (c) => values[(c - (c % 3)) / 3]);
  return {
    positions: rowsOf(places, vertices),
    normals: rowsOf(normals, cornerOf),
    counts: mapTo(new Float32Array(vertices.length), vertices, (v) => counts[v]),
    regions: mapTo(new Int32Array(vertices.length), cornerOf, (c) => regionOfFace[(c - (c % 3)) / 3]),
    ridges: ofFacets(ridgeOfFace),
    finishers: ofFacets(finisherOfFace),
    triangles: new Uint32Array(rowsOf(vertexOf, order)),
    ...edgeLists(surface, regionOfFace, vertexOf, order),
  };
}

/** Facets in the order of a walk over shared edges. */
function walkFacets(twin: Int32Array): Uint32Array {
  const faces = twin.length / 3;
  const order = new Uint32Array(faces),
    seen = new Uint8Array(faces);
  const stack = new Int32Array(faces + 1);
  let done = 0;
  for (let start = 0; start < faces; start++) {
    if (seen[start]) continue;
    seen[start] = 1;
    let depth = 0;
    stack[depth++] = start;
    while (depth > 0) {
      const f = stack[--depth];
      order[done++] = f;
      for (let k = 2; k >= 0; k--) {
        const t = twin[3 * f + k];
        const g = t < 0 ? -1 : (t - (t % 3)) / 3;
        if (g < 0 || seen[g]) continue;
        seen[g] = 1;
        stack[depth++] = g;
      }
    }
  }
  return order;
}

/**
 * Corners that agree in vertex, normal and region share one vertex of a picture, numbered as first met.
 *
 * @param order facets that are in it
 * @param cosine normals that differ by less of a turn agree
 * @returns corner that shows each vertex, and (3 F) vertex of each corner of those facets
 */
export function splitVertices(
  { mesh, normals }: Pick<Surface, 'mesh' | 'normals'>,
  regionOfFace: ArrayLike<number>,
  order: Uint32Array,
  cosine = SAME_NORMAL,
): { readonly cornerOf: Uint32Array; readonly vertexOf: Uint32Array } {
  const corners = mesh.triangles.length;
  const first = new Int32Array(mesh.positions.length / 3).fill(-1);
  const next = new Int32Array(corners),
    cornerOf = new Uint32Array(corners),
    vertexOf = new Uint32Array(corners);
  let used = 0;
  for (const f of order) {
    for (let c = 3 * f; c < 3 * f + 3; c++) {
      const v = mesh.triangles[c];
      let i = first[v];
      while (
        i >= 0 &&
        !(regionOfFace[(cornerOf[i] / 3) | 0] === regionOfFace[f] && agree(normals, cornerOf[i], c, cosine))
      ) {
        i = next[i];
      }
      if (i < 0) {
        i = used++;
        cornerOf[i] = c;
        next[i] = first[v];
        first[v] = i;
      }
      vertexOf[c] = i;
    }
  }
  return { cornerOf: cornerOf.subarray(0, used), vertexOf };
}

function agree(normals: Float64Array, a: number, b: number, cosine = SAME_NORMAL): boolean {
  return (
    normals[3 * a] * normals[3 * b] +
      normals[3 * a + 1] * normals[3 * b + 1] +
      normals[3 * a + 2] * normals[3 * b + 2] >=
    cosine
  );
}

function edgeLists(
  { topology: { twin }, normals }: ViewInput['surface'],
  regionOfFace: ArrayLike<number>,
  vertexOf: Uint32Array,
  order: Uint32Array,
): Pick<ViewData, 'creases' | 'borders'> {
  const creases: number[] = [],
    borders: number[] = [];
  for (const f of order) {
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const t = twin[h];
      if (t > h) continue;
      const end = nextCorner(h);
      if (t < 0 || !agree(normals, h, nextCorner(t)) || !agree(normals, end, t))
        creases.push(vertexOf[h], vertexOf[end]);
      if (t >= 0 && regionOfFace[(t / 3) | 0] !== regionOfFace[f]) borders.push(vertexOf[h], vertexOf[end]);
    }
  }
  return { creases: Uint32Array.from(creases), borders: Uint32Array.from(borders) };
}

import { boundsOf, type Bounds } from '../core/bounds.js';
import { zlibSync } from 'fflate';
import { edgeTable, vertexPredictor, WAYS } from './predict-vertices.js';
import { COUNT_STEP, type ViewData } from './view-data.js';

/** Positions are kept to this, mm, or to the part's size over 2^20 if that is more. */
const STEP_MM = 0.001;
/** Grid steps of a normal along each side of its octahedron. */
export const OCTAHEDRON_STEPS = 32767;

/** What the packed arrays are, for whoever unpacks them. */
export type PackedView = Readonly<ReturnType<typeof packView>>;

/**
 * Packs a picture: what differs from what was to be expected, bytes of like weight together, deflated. The
 * deflating is plain JavaScript, because those of browsers and of Node give different bytes.
 *
 * The stream holds, one after the other: the way each vertex is told (1 byte, see `WAYS`; their number: from
 * the vertex before); x, y, z (3 bytes each), two octahedron coordinates of the normal (3 each), count in its steps (2),
 * region (3), band of ridges (1), finishing cutter (1), band of the gap of each cutter told (1 each), all as differences from what that
 * way expects; then as runs of variable length numbers facets, creases, borders. A facet is told by the edge it
 * shares with one before it, counted back (0: none, its first two corners follow), and its last corner;
 * corners by how long ago they were new. Signed differences are folded: 0, -1, 1, -2 become 0, 1, 2, 3.
 */
export function packView(view: ViewData) {
  const vertices = view.counts.length;
  const { min, max } = bounds(view.positions);
  const extent = Math.max(0, max[0] - min[0], max[1] - min[1], max[2] - min[2]);
  const stepMm = Math.max(STEP_MM, extent / (2 ** 20 - 1));
  const normals = octahedral(view.normals);
  const axis = (k: number) =>
    new Int32Array(vertices).map((_, i) => Math.round((view.positions[3 * i + k] - min[k]) / stepMm));
  const grid = [axis(0), axis(1), axis(2)];
  const told = tellVertices(view.triangles, grid);
  const parts = [
    told.ways,
    ...[...grid, normals.u, normals.v].flatMap((values) => planes(differences(values, told, true), 3)),
    ...planes(differences(view.counts.map(inSteps), told, false), 2),
    ...planes(differences(view.regions, told, false), 3),
    ...[view.ridges, view.finishers, ...view.gaps.map(({ bands }) => bands)].flatMap((values) =>
      planes(differences(values, told, false), 1),
    ),
    facetRun(view.triangles),
    runs(view.creases),
    runs(view.borders),
  ];
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return {
    vertices,
    triangles: view.triangles.length / 3,
    creases: view.creases.length / 2,
    borders: view.borders.length / 2,
    /** whose gaps are told, in that order */
    gapsOf: view.gaps.map(({ cutterId }) => cutterId),
    originMm: min,
    stepMm,
    /** of a zlib stream */
    base64: base64(zlibSync(bytes, { level: 6 })),
  };
}

const inSteps = (count: number): number => Math.round(count / COUNT_STEP);

type Told = ReturnType<typeof tellVertices>;

/** For every vertex the way that expects it nearest to where it is. */
function tellVertices(triangles: Uint32Array, grid: readonly Int32Array[]) {
  const vertices = grid[0].length;
  const ways = new Uint8Array(vertices).fill(WAYS.length),
    from = new Int32Array(3 * vertices);
  const predictor = vertexPredictor(triangles),
    oab = new Int32Array(3);
  let newest = 0;
  for (let f = 0; f < triangles.length / 3; f++) {
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const v = triangles[h];
      if (v !== newest) continue;
      newest++;
      from[3 * v + 1] = v - 1;
      if (!predictor.known(f, v, oab)) continue;
      let best = v > 0 ? missOf(grid, v, 0, 1, 0, v - 1, v - 1, v - 1) : Infinity,
        way: number = WAYS.length;
      for (let w = WAYS.length - 1; w >= 0; w--) {
        const miss = missOf(grid, v, 1, WAYS[w][0], WAYS[w][1], oab[0], oab[1], oab[2]);
        // Of equals the first way, and any way rather than the vertex before.
        if (miss > best) continue;
        best = miss;
        way = w;
      }
      if (way === WAYS.length) continue;
      ways[v] = way;
      from.set(oab, 3 * v);
    }
    predictor.pass(f);
  }
  return {
    /** (V) index in `WAYS`, or their number */
    ways,
    /** (3 V) o, a, b of each vertex; the vertex before it in place of a where the way is none of `WAYS` */
    from,
  };
}

/** How far vertex v is from `wa a + wb b - wo o`, in grid steps along the three axes. */
function missOf(
  [x, y, z]: readonly Int32Array[],
  v: number,
  wo: number,
  wa: number,
  wb: number,
  o: number,
  a: number,
  b: number,
): number {
  return (
    Math.abs(x[v] - wa * x[a] - wb * x[b] + wo * x[o]) +
    Math.abs(y[v] - wa * y[a] - wb * y[b] + wo * y[o]) +
    Math.abs(z[v] - wa * z[a] - wb * z[b] + wo * z[o])
  );
}

/** Differences from what is expected; `linear`: by the way's weights, else the same as vertex a. */
function differences(values: ArrayLike<number>, { ways, from }: Told, linear: boolean): Int32Array {
  const out = new Int32Array(values.length);
  for (let v = 0; v < out.length; v++) {
    const a = from[3 * v + 1];
    if (ways[v] < WAYS.length && linear) {
      const [wa, wb] = WAYS[ways[v]];
      out[v] = values[v] - wa * values[a] - wb * values[from[3 * v + 2]] + values[from[3 * v]];
    } else {
      out[v] = values[v] - (a < 0 ? 0 : values[a]);
    }
  }
  return out;
}

function bounds(positions: Float64Array): Bounds {
  return positions.length === 0 ? { min: [0, 0, 0], max: [0, 0, 0] } : boundsOf(positions);
}

/**
 * Normals on an octahedron unfolded into a square (Meyer et al. 2010, doi:10.1111/j.1467-8659.2010.01737.x).
 */
function octahedral(normals: Float64Array): { readonly u: Int32Array; readonly v: Int32Array } {
  const u = new Int32Array(normals.length / 3),
    v = new Int32Array(normals.length / 3);
  for (let i = 0; i < u.length; i++) {
    const x = normals[3 * i],
      y = normals[3 * i + 1],
      z = normals[3 * i + 2];
    const sum = Math.abs(x) + Math.abs(y) + Math.abs(z);
    if (sum === 0) continue;
    const a = x / sum,
      b = y / sum;
    const folded = z < 0;
    u[i] = Math.round(OCTAHEDRON_STEPS * (folded ? (1 - Math.abs(b)) * (a < 0 ? -1 : 1) : a));
    v[i] = Math.round(OCTAHEDRON_STEPS * (folded ? (1 - Math.abs(a)) * (b < 0 ? -1 : 1) : b));
  }
  return { u, v };
}

const fold = (difference: number): number => (difference < 0 ? -2 * difference - 1 : 2 * difference);

/** Differences folded, their bytes apart: lowest first. */
function planes(values: Int32Array, count: number): Uint8Array[] {
  const out = Array.from({ length: count }, () => new Uint8Array(values.length));
  for (let i = 0; i < values.length; i++) {
    const code = fold(values[i]);
    for (let p = 0; p < count; p++) out[p][i] = code >>> (8 * p);
  }
  return out;
}

/** Facets by shared edges; each may come back with its corners moved round. */
function facetRun(triangles: Uint32Array): Uint8Array {
  const out = numberRun(2 * triangles.length);
  const edges = edgeTable(triangles);
  // As they will come back: edges are counted in these.
  const turned = new Uint32Array(triangles.length);
  let newest = 0;
  const corner = (v: number): void => {
    out.push(newest - v);
    if (v === newest) newest++;
  };
  for (let f = 0; f < triangles.length; f += 3) {
    let gate = -1,
      turn = 0;
    for (let k = 0; k < 3; k++) {
      const end = triangles[f + ((k + 1) % 3)],
        e = edges.get(triangles[f + k], end);
      if (e > gate && turned[e] === end) [gate, turn] = [e, k];
    }
    for (let k = 0; k < 3; k++) turned[f + k] = triangles[f + ((turn + k) % 3)];
    out.push(gate < 0 ? 0 : f - gate);
    if (gate < 0) {
      corner(turned[f]);
      corner(turned[f + 1]);
    }
    corner(turned[f + 2]);
    for (let k = 0; k < 3; k++) edges.set(turned[f + k], turned[f + ((k + 1) % 3)], f + k);
  }
  return out.bytes();
}

function runs(indices: Uint32Array): Uint8Array {
  const out = numberRun(indices.length);
  for (let i = 0, last = 0; i < indices.length; i++) {
    out.push(fold(indices[i] - last));
    last = indices[i];
  }
  return out.bytes();
}

/** Numbers of seven bits per byte, lowest first; the top bit says that more follow. */
function numberRun(count: number): { push(value: number): void; bytes(): Uint8Array } {
  const bytes = new Uint8Array(5 * count);
  let at = 0;
  return {
    push: (value) => {
      let rest = value;
      for (; rest > 127; rest = Math.floor(rest / 128)) bytes[at++] = (rest % 128) + 128;
      bytes[at++] = rest;
    },
    bytes: () => bytes.subarray(0, at),
  };
}

function base64(bytes: Uint8Array): string {
  const pieces: string[] = [];
  const size = 3 * 8192;
  for (let i = 0; i < bytes.length; i += size)
    pieces.push(btoa(String.fromCharCode(...bytes.subarray(i, i + size))));
  return pieces.join('');
}

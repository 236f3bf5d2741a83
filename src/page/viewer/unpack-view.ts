import { nextCorner } from '../../part/half-edge.js';
import { OCTAHEDRON_STEPS } from '../../write/pack-view.js';
import { vertexPredictor, WAYS } from '../../write/predict-vertices.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { COUNT_STEP, type ViewData } from '../../write/view-data.js';

/** Undoes `packView`. Positions are within half a step of what was packed, normals within 0.01 degrees. */
export async function unpackView(base64: string, facts: SceneFacts['mesh']): Promise<ViewData> {
  const { vertices, triangles, creases, borders, gapsOf, originMm, stepMm } = facts;
  const source = byteSource(await inflate(Uint8Array.from(atob(base64), (byte) => byte.charCodeAt(0))));
  const ways = source.planes(vertices, 1);
  const linear = [0, 1, 2, 3, 4].map(() => source.folded(vertices, 3));
  const counts = source.folded(vertices, 2),
    regions = source.folded(vertices, 3),
    ridges = source.folded(vertices, 1),
    finishers = source.folded(vertices, 1);
  const gaps = gapsOf.map(() => source.folded(vertices, 1));
  const corners = readFacets(triangles, source.number);
  const indices = (count: number): Uint32Array => {
    const out = new Uint32Array(2 * count);
    for (let i = 0, last = 0; i < out.length; i++) out[i] = last += unfold(source.number());
    return out;
  };
  addExpected(corners, ways, linear, [counts, regions, ridges, finishers, ...gaps]);
  return {
    positions: Float64Array.from(
      { length: 3 * vertices },
      (_, i) => originMm[i % 3] + stepMm * linear[i % 3][(i / 3) | 0],
    ),
    normals: unfoldNormals(linear[3], linear[4]),
    counts: Float32Array.from(counts, (steps) => steps * COUNT_STEP),
    regions,
    ridges: Uint8Array.from(ridges),
    finishers: Uint8Array.from(finishers),
    gaps: gapsOf.map((cutterId, i) => ({ cutterId, bands: Uint8Array.from(gaps[i]) })),
    triangles: corners,
    creases: indices(creases),
    borders: indices(borders),
  };
}

function readFacets(count: number, number: () => number): Uint32Array {
  const corners = new Uint32Array(3 * count);
  let newest = 0;
  const corner = (): number => {
    const v = newest - number();
    if (v === newest) newest++;
    return v;
  };
  for (let f = 0; f < corners.length; f += 3) {
    const back = number(),
      gate = f - back;
    // Beside the shared edge the corners run the other way.
    corners[f] = back === 0 ? corner() : corners[nextCorner(gate)];
    corners[f + 1] = back === 0 ? corner() : corners[gate];
    corners[f + 2] = corner();
  }
  return corners;
}

/** Turns differences into values, vertex by vertex as the facets bring them. */
function addExpected(
  triangles: Uint32Array,
  ways: Int32Array,
  linear: readonly Int32Array[],
  plain: readonly Int32Array[],
): void {
  const predictor = vertexPredictor(triangles),
    oab = new Int32Array(3);
  let newest = 0;
  for (let f = 0; f < triangles.length / 3; f++) {
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const v = triangles[h];
      if (v !== newest) continue;
      newest++;
      const way = WAYS[ways[v]];
      if (way && predictor.known(f, v, oab)) {
        const [o, a, b] = oab;
        for (const x of linear) x[v] += way[0] * x[a] + way[1] * x[b] - x[o];
        for (const x of plain) x[v] += x[a];
      } else if (v > 0) {
        for (const x of [...linear, ...plain]) x[v] += x[v - 1];
      }
    }
    predictor.pass(f);
  }
}

function byteSource(bytes: Uint8Array) {
  let at = 0;
  const planes = (count: number, size: number): Int32Array => {
    const out = new Int32Array(count);
    for (let p = 0; p < size; p++) {
      for (let i = 0; i < count; i++) out[i] |= bytes[at + i] << (8 * p);
      at += count;
    }
    return out;
  };
  return {
    planes,
    folded: (count: number, size: number): Int32Array => planes(count, size).map(unfold),
    number: (): number => {
      let value = 0;
      for (let scale = 1; ; scale *= 128) {
        const byte = bytes[at++];
        value += (byte & 127) * scale;
        if (byte < 128) return value;
      }
    },
  };
}

const unfold = (code: number): number => (code % 2 === 0 ? code / 2 : -(code + 1) / 2);

async function inflate(bytes: Uint8Array<ArrayBuffer>): Promise<Uint8Array> {
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

function unfoldNormals(u: Int32Array, v: Int32Array): Float64Array {
  const normals = new Float64Array(3 * u.length);
  for (let i = 0; i < u.length; i++) {
    let x = u[i] / OCTAHEDRON_STEPS,
      y = v[i] / OCTAHEDRON_STEPS;
    const z = 1 - Math.abs(x) - Math.abs(y);
    if (z < 0) [x, y] = [(1 - Math.abs(y)) * (x < 0 ? -1 : 1), (1 - Math.abs(x)) * (y < 0 ? -1 : 1)];
    const length = Math.sqrt(x * x + y * y + z * z);
    normals[3 * i] = x / length;
    normals[3 * i + 1] = y / length;
    normals[3 * i + 2] = z / length;
  }
  return normals;
}

import { OCTAHEDRON_STEPS, SAGITTA_STEP_MM } from '../../write/pack-view.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';

/** Undoes `packView`. Positions are within half a step of what was packed, normals within 0.01 degrees. */
export async function unpackView(base64: string, facts: SceneFacts['mesh']): Promise<ViewData> {
  const bytes = await inflate(decodeBase64(base64));
  let at = 0;
  const planes = (count: number, size: number): Int32Array => {
    const out = new Int32Array(count);
    for (let p = 0; p < size; p++) {
      for (let i = 0; i < count; i++) out[i] |= bytes[at + i] << (8 * p);
      at += count;
    }
    for (let i = 0, last = 0; i < count; i++) out[i] = last += unfold(out[i]);
    return out;
  };
  const number = (): number => {
    let value = 0, scale = 1;
    for (;; scale *= 128) {
      const byte = bytes[at++];
      value += (byte & 127) * scale;
      if (byte < 128) return value;
    }
  };
  const { vertices, triangles, creases, borders, originMm, stepMm } = facts;
  const grid = [planes(vertices, 3), planes(vertices, 3), planes(vertices, 3)];
  const positions = Float64Array.from({ length: 3 * vertices }, (_, i) => originMm[i % 3] + stepMm * grid[i % 3][(i / 3) | 0]);
  const normals = unfoldNormals(planes(vertices, 3), planes(vertices, 3));
  const counts = Uint8Array.from(planes(vertices, 2));
  const regions = planes(vertices, 3);
  const sagittas = Float32Array.from(planes(triangles, 3), (steps) => steps * SAGITTA_STEP_MM);
  const corners = new Uint32Array(3 * triangles);
  for (let i = 0, newest = 0; i < corners.length; i++) {
    corners[i] = newest - number();
    if (corners[i] === newest) newest++;
  }
  const indices = (count: number): Uint32Array => {
    const out = new Uint32Array(2 * count);
    for (let i = 0, last = 0; i < out.length; i++) out[i] = last += unfold(number());
    return out;
  };
  return { positions, normals, counts, regions, triangles: corners, sagittas, creases: indices(creases), borders: indices(borders) };
}

const unfold = (code: number): number => (code % 2 === 0 ? code / 2 : -(code + 1) / 2);

function decodeBase64(text: string): Uint8Array<ArrayBuffer> {
  const binary = atob(text);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < bytes.length; i++) bytes[i] = binary.charCodeAt(i);
  return bytes;
}

async function inflate(bytes: Uint8Array<ArrayBuffer>): Promise<Uint8Array> {
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

function unfoldNormals(u: Int32Array, v: Int32Array): Float64Array {
  const normals = new Float64Array(3 * u.length);
  for (let i = 0; i < u.length; i++) {
    let x = u[i] / OCTAHEDRON_STEPS, y = v[i] / OCTAHEDRON_STEPS;
    const z = 1 - Math.abs(x) - Math.abs(y);
    if (z < 0) [x, y] = [(1 - Math.abs(y)) * (x < 0 ? -1 : 1), (1 - Math.abs(x)) * (y < 0 ? -1 : 1)];
    const length = Math.sqrt(x * x + y * y + z * z);
    normals[3 * i] = x / length;
    normals[3 * i + 1] = y / length;
    normals[3 * i + 2] = z / length;
  }
  return normals;
}

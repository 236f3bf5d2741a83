import { withRoom } from '../core/growing-numbers.js';
import { perCorner, perFace } from '../core/array-types.js';
import type { Mesh, Surface, Topology } from '../part/types.js';

/**
 * A surface under subdivision. The one operation is to put a vertex on an edge and join it to the corners
 * opposite: both facets of the edge are halved, so the mesh stays conforming whatever is cut and in whatever
 * order, and each cut costs the same few steps however large the mesh.
 */
export type SurfaceBuilder = ReturnType<typeof builder>;

export interface SurfaceArrays {
  /** (3 V) mm */
  readonly positions: Float64Array;
  /** (3 F) */
  readonly triangles: Uint32Array;
  /** (3 F) */
  readonly twin: Int32Array;
  /** (9 F) */
  readonly normals: Float64Array;
  /** (F) */
  readonly parent: Int32Array;
  /** (F) whatever the caller keeps per facet, copied to both halves */
  readonly labels: Uint8Array;
}

type Growable = { -readonly [Key in keyof SurfaceArrays]: SurfaceArrays[Key] };

/** A builder that starts from a mesh: each facet its own parent, label 0. The inputs are not changed. */
export function startSurface(mesh: Mesh, topology: Topology, normals: Float64Array): SurfaceBuilder {
  const faces = mesh.triangles.length / 3;
  const parent = new Int32Array(faces);
  for (let f = 0; f < faces; f++) parent[f] = f;
  return builder({ ...mesh, ...topology, normals, parent, labels: new Uint8Array(faces) });
}

/** A builder that goes on from a finished surface. The inputs are not changed. */
export function resumeSurface(
  { mesh, topology, normals, parent }: Surface,
  labels: Uint8Array,
): SurfaceBuilder {
  return builder({ ...mesh, ...topology, normals, parent, labels: labels.slice() });
}

/**
 * Arrays of exact length are never written to, but for the labels: the first cut finds no room and copies
 * them. So neither what a builder starts from nor what it has handed out need be copied before.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share the arrays that grow.
function builder(start: Growable) {
  const at = start;
  let vertices = at.positions.length / 3;
  let faces = at.triangles.length / 3;

  const reserve = (): void => {
    if (at.positions.length < 3 * (vertices + 1)) at.positions = grown(at.positions, Float64Array);
    if (at.labels.length >= faces + 2) return;
    at.triangles = grown(at.triangles, Uint32Array);
    at.twin = grown(at.twin, Int32Array);
    at.normals = grown(at.normals, Float64Array);
    at.parent = grown(at.parent, Int32Array);
    at.labels = grown(at.labels, Uint8Array);
    // Grown separately, their capacities may differ by a facet: the labels' decides, so it must be the least.
    const capacity = Math.floor(Math.min(at.triangles.length / 3, at.normals.length / 9, at.parent.length));
    if (at.labels.length > capacity) at.labels = at.labels.slice(0, capacity);
  };

  /**
   * Halves the facet of half-edge h at vertex m, fraction s; returns the new facet, which holds m to the end.
   */
  const halve = (h: number, s: number, m: number): number => {
    const { triangles, twin, normals } = at;
    const f = (h / 3) | 0,
      k = h - 3 * f,
      k1 = (k + 1) % 3,
      k2 = (k + 2) % 3;
    const g = faces++;
    const h1 = 3 * f + k1,
      beyond = twin[h1];
    triangles[3 * g] = m;
    triangles[3 * g + 1] = triangles[h1];
    triangles[3 * g + 2] = triangles[3 * f + k2];
    triangles[h1] = m;
    twin[3 * g + 1] = beyond;
    if (beyond >= 0) twin[beyond] = 3 * g + 1;
    twin[h1] = 3 * g + 2;
    twin[3 * g + 2] = h1;
    const a = 9 * f + 3 * k,
      b = 9 * f + 3 * k1,
      c = 9 * f + 3 * k2;
    for (let i = 0; i < 3; i++) {
      normals[9 * g + 3 + i] = normals[b + i];
      normals[9 * g + 6 + i] = normals[c + i];
      normals[9 * g + i] = normals[a + i] + s * (normals[b + i] - normals[a + i]);
    }
    makeUnit(normals, 9 * g);
    for (let i = 0; i < 3; i++) normals[b + i] = normals[9 * g + i];
    at.parent[g] = at.parent[f];
    at.labels[g] = at.labels[f];
    return g;
  };

  /**
   * Puts a vertex at fraction `s` of half-edge `h` and halves the facets on its sides. Facet `h / 3` keeps
   * the part at the start of `h`; halves take over parent, label and normals (interpolated and made unit
   * again).
   *
   * @param s 0 < s < 1
   * @returns the new vertex
   */
  const bisect = (h: number, s: number): number => {
    reserve();
    const { positions, triangles, twin } = at;
    const f = (h / 3) | 0;
    const a = 3 * triangles[h],
      b = 3 * triangles[3 * f + ((h - 3 * f + 1) % 3)];
    const m = vertices++;
    for (let i = 0; i < 3; i++)
      positions[3 * m + i] = positions[a + i] + s * (positions[b + i] - positions[a + i]);
    const t = twin[h];
    const g = halve(h, s, m);
    if (t < 0) {
      twin[3 * g] = -1;
      return m;
    }
    const other = halve(t, 1 - s, m);
    twin[h] = 3 * other;
    twin[3 * other] = h;
    twin[t] = 3 * g;
    twin[3 * g] = t;
    return m;
  };

  return {
    vertexCount: (): number => vertices,
    faceCount: (): number => faces,
    /** Grown in steps: valid until the next `bisect`, entries past the counts are meaningless. */
    arrays: (): SurfaceArrays => at,
    bisect,
    /** The surface as it is now, in arrays of exact length. */
    finish: (): { readonly surface: Surface; readonly labels: Uint8Array } => {
      at.positions = at.positions.subarray(0, 3 * vertices);
      at.triangles = at.triangles.subarray(0, 3 * faces);
      at.twin = at.twin.subarray(0, 3 * faces);
      at.parent = at.parent.subarray(0, faces);
      at.normals = at.normals.subarray(0, 9 * faces);
      at.labels = at.labels.subarray(0, faces);
      const { positions, triangles, twin } = at;
      return {
        surface: {
          mesh: { positions, triangles },
          topology: { twin },
          parent: perFace(at.parent),
          normals: perCorner(at.normals),
        },
        labels: at.labels.slice(),
      };
    },
  };
}

function grown<T extends Float64Array | Uint32Array | Int32Array | Uint8Array>(
  array: T,
  make: new (length: number) => T,
): T {
  return withRoom(array, 3 * Math.ceil(array.length / 2) + 18, make);
}

function makeUnit(normals: Float64Array, i: number): void {
  const x = normals[i],
    y = normals[i + 1],
    z = normals[i + 2];
  const length = Math.sqrt(x * x + y * y + z * z);
  if (length > 0) for (let k = i; k < i + 3; k++) normals[k] /= length;
}

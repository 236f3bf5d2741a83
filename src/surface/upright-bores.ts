import { firstWhere } from '../core/first-where.js';
import { fitCircle } from '../core/fit-circle.js';
import { listsByKey } from '../core/lists.js';
import type { FacetNormals } from '../part/facet-normals.js';
import type { Mesh, Topology } from '../part/types.js';
import { connectedRegions } from './connected-regions.js';

/** A round upright wall that looks inwards all round. */
export interface Bore {
  readonly x: number;
  readonly y: number;
  /** of the circle through its vertices, mm */
  readonly radius: number;
  /** where it ends above and below, mm */
  readonly top: number;
  readonly bottom: number;
  readonly faces: readonly number[];
}

/** Walls count as upright within this, as they do for classes. */
const UPRIGHT_SINE = Math.sin((0.5 * Math.PI) / 180);
/** Vertices lie on the circle within this, mm: what rounding and welding move them by. */
export const ON_CIRCLE_MM = 0.005;
/** A polygon of fewer sides is no circle to anyone. */
const LEAST_SIDES = 8;

/**
 * The round upright walls of a part. All vertices of such a wall lie on one circle in plan, and its facets
 * close round it: slots with round ends, corners of pockets and arcs do not, and pins look outwards. An
 * octagon is taken for a circle in eight facets.
 */
export function uprightBores(mesh: Mesh, topology: Topology, { normals }: FacetNormals): Bore[] {
  const upright = new Int32Array(normals.length / 3).map((_, f) =>
    Math.abs(normals[3 * f + 2]) <= UPRIGHT_SINE && (normals[3 * f] !== 0 || normals[3 * f + 1] !== 0)
      ? 0
      : -1,
  );
  const { regionOfFace, count } = connectedRegions(topology, upright);
  const { start, items } = listsByKey(regionOfFace, count);
  const bores: Bore[] = [];
  for (let r = 0; r < count; r++) {
    const bore = boreOf(mesh, normals, [...items.subarray(start[r], start[r + 1])]);
    if (bore) bores.push(bore);
  }
  return bores;
}

function boreOf(mesh: Mesh, normals: Float64Array, faces: readonly number[]): Bore | null {
  const { positions, triangles } = mesh;
  if (faces.length < LEAST_SIDES) return null;
  const vertices = [...new Set(faces.flatMap((f) => [...triangles.subarray(3 * f, 3 * f + 3)]))];
  const { x, y, radius } = fitCircle(vertices.flatMap((v) => [positions[3 * v], positions[3 * v + 1]]));
  const at = (v: number): [number, number] => [positions[3 * v] - x, positions[3 * v + 1] - y];
  const isOn = vertices.every((v) => {
    const [u, w] = at(v);
    return Math.abs(Math.sqrt(u * u + w * w) - radius) <= ON_CIRCLE_MM;
  });
  if (!isOn) return null;
  const looksInwards = faces.every((f) => {
    const [u, w] = at(triangles[3 * f]);
    return u * normals[3 * f] + w * normals[3 * f + 1] < 0;
  });
  if (!looksInwards || !closesRound(faces, (h) => at(triangles[h]), radius)) return null;
  const heights = vertices.map((v) => positions[3 * v + 2]);
  const top = heights.reduce((most, z) => Math.max(most, z)),
    bottom = heights.reduce((least, z) => Math.min(least, z));
  return { x, y, radius, top, bottom, faces };
}

/** Whether facets stand in every sector between neighbouring vertices of a circle, of which there are enough. */
function closesRound(
  faces: readonly number[],
  corner: (h: number) => readonly [number, number],
  radius: number,
): boolean {
  const angle = (h: number): number => {
    const [u, w] = corner(h);
    return Math.atan2(w, u);
  };
  const sorted = faces
    .flatMap((f) => [angle(3 * f), angle(3 * f + 1), angle(3 * f + 2)])
    .sort((a, b) => a - b);
  const same = ON_CIRCLE_MM / radius;
  const first = sorted.filter((a, i) => i === 0 || a - sorted[i - 1] > same);
  const around = first[0] + 2 * Math.PI - first[first.length - 1] <= same ? first.slice(0, -1) : first;
  if (around.length < LEAST_SIDES) return false;
  // What stands on each sector: facets that begin at one of its ends, and go on over as many as they span.
  const index = (h: number): number => {
    const least = angle(h) - same;
    return firstWhere(around.length, (i) => around[i] >= least) % around.length;
  };
  const isCovered = new Uint8Array(around.length);
  for (const f of faces) {
    for (const [from, to] of [
      [3 * f, 3 * f + 1],
      [3 * f + 1, 3 * f + 2],
      [3 * f + 2, 3 * f],
    ]) {
      const turn = Math.sin(angle(to) - angle(from));
      const [low, high] = turn > 0 ? [index(from), index(to)] : [index(to), index(from)];
      for (let k = low; k !== high; k = (k + 1) % around.length) isCovered[k] = 1;
    }
  }
  return isCovered.every((one) => one === 1);
}

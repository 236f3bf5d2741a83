import type { Mesh, Topology } from '../../src/part/types.js';

/** A mesh with its topology, as the tests of regions and outlines need it. */
export interface LabelledMesh {
  readonly mesh: Mesh;
  readonly topology: Topology;
}

/**
 * Twins by a map of directed edges; -1 where the opposite edge is missing. Vertices must already be shared.
 */
export function withTopology(mesh: Mesh): LabelledMesh {
  const { triangles } = mesh;
  const edges = new Map<string, number>();
  const end = (h: number) => triangles[h - (h % 3) + ((h + 1) % 3)];
  for (let h = 0; h < triangles.length; h++) edges.set(`${triangles[h]} ${end(h)}`, h);
  const twin = Int32Array.from(triangles, (v, h) => edges.get(`${end(h)} ${v}`) ?? -1);
  return { mesh, topology: { twin } };
}

/**
 * Rectangular grid of `xs.length - 1` by `ys.length - 1` cells, two triangles each, lifted by `height`.
 * Cell (i, j) holds faces 2 (j nx + i) and the next one; the diagonal runs from its low to its high corner.
 */
export function gridMesh(
  xs: readonly number[],
  ys: readonly number[],
  height: (x: number, y: number) => number = () => 0,
): LabelledMesh {
  const positions = ys.flatMap((y) => xs.flatMap((x) => [x, y, height(x, y)]));
  const triangles: number[] = [];
  for (let j = 0; j + 1 < ys.length; j++) {
    for (let i = 0; i + 1 < xs.length; i++) {
      const a = j * xs.length + i,
        b = a + 1,
        c = a + xs.length,
        d = c + 1;
      triangles.push(a, b, d, a, d, c);
    }
  }
  return withTopology({ positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) });
}

/** 0, step, 2 step ... `count` steps. */
export const steps = (count: number, step = 1, from = 0): number[] =>
  Array.from({ length: count + 1 }, (_, i) => from + i * step);

/**
 * Rings of vertices about the z axis, ring i at radius `radii[i]` and height `heights[i]`, joined by two
 * triangles per cell; radius 0 is one vertex. Facets face away from the axis where radii grow downwards, i.e.
 * counter-clockwise seen from above where radii grow with i. Faces of band i: `bandStart[i] .. bandStart[i +
 * 1]`.
 */
export function revolvedMesh(
  radii: readonly number[],
  heights: readonly number[],
  segments: number,
): LabelledMesh & { readonly bandOfFace: Int32Array } {
  const positions: number[] = [];
  const first: number[] = [];
  radii.forEach((radius, i) => {
    first.push(positions.length / 3);
    const count = radius === 0 ? 1 : segments;
    for (let s = 0; s < count; s++) {
      const angle = (2 * Math.PI * s) / segments;
      positions.push(radius * Math.cos(angle), radius * Math.sin(angle), heights[i]);
    }
  });
  const triangles: number[] = [];
  const bands: number[] = [];
  const at = (i: number, s: number) => first[i] + (radii[i] === 0 ? 0 : s % segments);
  for (let i = 0; i + 1 < radii.length; i++) {
    for (let s = 0; s < segments; s++) {
      const a = at(i, s),
        b = at(i + 1, s),
        c = at(i + 1, s + 1),
        d = at(i, s + 1);
      if (radii[i + 1] !== 0) {
        triangles.push(a, b, c);
        bands.push(i);
      }
      if (radii[i] !== 0) {
        triangles.push(a, c, d);
        bands.push(i);
      }
    }
  }
  const mesh = { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
  return { ...withTopology(mesh), bandOfFace: Int32Array.from(bands) };
}

import { CLASS_INDEX } from '../../src/core/classes.js';
import type { Mesh, Topology } from '../../src/part/types.js';
import { facetCurvatures } from '../../src/time/facet-curvature.js';
import type { CutterShape, FinishingSurface, Strategy } from '../../src/time/finishing-surface.js';
import { PLACEHOLDER_MACHINE } from '../../src/time/machine.js';
import { facetMinutes } from '../../src/time/pass-time.js';

type Vec = readonly [number, number, number];

/** Triangles with the true normal at each corner. */
export interface Patch {
  readonly mesh: Mesh;
  /** (9 F) */
  readonly corners: Float64Array;
  /** (9 F) */
  readonly normals: Float64Array;
}

/** A point and the outward unit normal there, for parameters u and v from 0 to 1. */
export type Chart = (u: number, v: number) => { point: Vec; normal: Vec };

/**
 * Grid of `nu` by `nv` cells over a chart, two triangles each, counter-clockwise if (∂u, ∂v, normal) is
 * right-handed.
 */
export function gridPatch(chart: Chart, nu: number, nv: number): Patch {
  const at = Array.from({ length: (nu + 1) * (nv + 1) }, (_, i) =>
    chart((i % (nu + 1)) / nu, Math.floor(i / (nu + 1)) / nv),
  );
  const triangles: number[] = [];
  for (let j = 0; j < nv; j++) {
    for (let i = 0; i < nu; i++) {
      const a = j * (nu + 1) + i,
        b = a + 1,
        c = b + nu + 1,
        d = a + nu + 1;
      triangles.push(a, b, c, a, c, d);
    }
  }
  return {
    mesh: {
      positions: Float64Array.from(at.flatMap((x) => x.point)),
      triangles: Uint32Array.from(triangles),
    },
    corners: Float64Array.from(triangles.flatMap((v) => at[v].point)),
    normals: Float64Array.from(triangles.flatMap((v) => at[v].normal)),
  };
}

/** Part of a sphere about the origin between two wall angles in degrees, all round; centre height `cz`. */
export const sphereZone = (radius: number, from: number, to: number, nu = 256, nv = 128, cz = 0): Patch =>
  gridPatch(
    (u, v) => {
      const theta = ((to + (from - to) * v) * Math.PI) / 180,
        phi = 2 * Math.PI * u;
      const normal: Vec = [Math.sin(theta) * Math.cos(phi), Math.sin(theta) * Math.sin(phi), Math.cos(theta)];
      return { normal, point: [radius * normal[0], radius * normal[1], radius * normal[2] + cz] };
    },
    nu,
    nv,
  );

/**
 * Rectangle of `width` (level) by `length` (along the fall), tilted by `degrees`, its fall line turned by
 * `turn`.
 */
export const tiltedPlane = (
  width: number,
  length: number,
  degrees: number,
  turn = 0,
  nu = 3,
  nv = 4,
): Patch => {
  const t = (degrees * Math.PI) / 180,
    a = (turn * Math.PI) / 180;
  const [c, s] = [Math.cos(a), Math.sin(a)];
  return gridPatch(
    (u, v) => {
      const across = u * width,
        run = -v * length * Math.cos(t);
      return {
        point: [c * run + s * across, s * run - c * across, v * length * Math.sin(t)],
        normal: [c * Math.sin(t), s * Math.sin(t), Math.cos(t)],
      };
    },
    nu,
    nv,
  );
};

/**
 * Cylinder along Y of radius `rho`, wall angles `from` to `to` degrees towards +X; hollow: seen from inside,
 * n = -radial.
 */
export const cylinderStrip = (
  rho: number,
  from: number,
  to: number,
  long: number,
  hollow: boolean,
  nu = 64,
): Patch =>
  gridPatch(
    (u, v) => {
      const t = ((from + (to - from) * u) * Math.PI) / 180,
        y = v * long;
      const normal: Vec = [Math.sin(t), 0, Math.cos(t)];
      const side = hollow ? -1 : 1;
      return { normal, point: [side * rho * normal[0], hollow ? long - y : y, side * rho * normal[2]] };
    },
    nu,
    4,
  );

/** Joins patches into one surface of facets. */
export function joinPatches(patches: readonly Patch[]): Patch {
  const positions: number[] = [],
    triangles: number[] = [];
  for (const { mesh } of patches) {
    const base = positions.length / 3;
    for (const x of mesh.positions) positions.push(x);
    for (const v of mesh.triangles) triangles.push(base + v);
  }
  return {
    mesh: { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) },
    corners: Float64Array.from(patches.flatMap((p) => [...p.corners])),
    normals: Float64Array.from(patches.flatMap((p) => [...p.normals])),
  };
}

/**
 * The patch as src/time takes it: mean of the corner normals, facet areas, and classes by the mean wall angle
 * with the border between shallow and steep at `splitDeg` and an overlap of `overlapDeg`.
 */
export function surfaceOf(patch: Patch, splitDeg = 45, overlapDeg = 0): Required<FinishingSurface> {
  const count = patch.corners.length / 9;
  const normals = new Float64Array(3 * count),
    areas = new Float64Array(count);
  const classOf = new Uint8Array(count);
  for (let f = 0; f < count; f++) {
    const p = patch.corners.subarray(9 * f, 9 * f + 9),
      n = patch.normals.subarray(9 * f, 9 * f + 9);
    const mean = [0, 1, 2].map((i) => n[i] + n[3 + i] + n[6 + i]);
    const length = Math.sqrt(mean[0] ** 2 + mean[1] ** 2 + mean[2] ** 2);
    normals.set(
      mean.map((x) => x / length),
      3 * f,
    );
    const e = [0, 1, 2].map((i) => p[3 + i] - p[i]),
      g = [0, 1, 2].map((i) => p[6 + i] - p[i]);
    const cross = [e[1] * g[2] - e[2] * g[1], e[2] * g[0] - e[0] * g[2], e[0] * g[1] - e[1] * g[0]];
    areas[f] = Math.sqrt(cross[0] ** 2 + cross[1] ** 2 + cross[2] ** 2) / 2;
    const degrees = (Math.atan2(Math.sqrt(mean[0] ** 2 + mean[1] ** 2), mean[2]) * 180) / Math.PI;
    classOf[f] =
      degrees < 0.5
        ? CLASS_INDEX.level
        : degrees < splitDeg
          ? CLASS_INDEX.shallow
          : degrees < splitDeg + overlapDeg
            ? CLASS_INDEX.overlap
            : CLASS_INDEX.steep;
  }
  return { normals, areas, classOf, curvature: facetCurvatures(asMesh(patch.corners), patch.normals) };
}

/** Twins of the half-edges, found by welding equal positions; -1 on open edges. */
export function twinsOf(mesh: Mesh): Topology {
  const key = (v: number) => [0, 1, 2].map((i) => Math.round(1e7 * mesh.positions[3 * v + i]) + 0).join();
  const ids = Array.from({ length: mesh.positions.length / 3 }, (_, v) => key(v));
  const at = new Map<string, number>();
  const edge = (h: number) => {
    const f = Math.floor(h / 3);
    return [ids[mesh.triangles[h]], ids[mesh.triangles[3 * f + ((h + 1) % 3)]]] as const;
  };
  mesh.triangles.forEach((_, h) => at.set(edge(h).join('|'), h));
  return { twin: Int32Array.from(mesh.triangles, (_, h) => at.get([...edge(h)].reverse().join('|')) ?? -1) };
}

/** Facets that share nothing, as a mesh. */
export const asMesh = (corners: Float64Array): Mesh => ({
  positions: corners,
  triangles: Uint32Array.from({ length: corners.length / 3 }, (_, v) => v),
});

/**
 * Length of the passes on each facet, mm, and |∇f|, as passes are timed: of the cutter's centre, or of the
 * contact path where none is given. At so low a feed nothing slows the machine down, and minutes are mm.
 */
export function passLengths(
  { curvature, ...flat }: FinishingSurface,
  strategy: Strategy,
  spacingMm: number,
  cutter?: CutterShape,
): { readonly lengths: Float64Array; readonly gradients: Float64Array } {
  const surface = cutter && curvature ? { ...flat, curvature } : flat;
  const gradients = new Float64Array(flat.areas.length);
  const plan = { strategy, spacingMm, cutter: cutter ?? { DC: 1, RE: 0.5 }, machine: PLACEHOLDER_MACHINE };
  return { lengths: facetMinutes(surface, { ...plan, feedMmPerMin: 1 }, undefined, gradients), gradients };
}

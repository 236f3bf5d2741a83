import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { Mesh, Surface } from '../part/types.js';
import { growingNumbers } from '../core/growing-numbers.js';
import type { ReachProbe } from './reach-probe.js';
import { sameNormal } from './reach-questions.js';

/** Corners at each vertex: those of vertex v are `corners[start[v]] .. corners[start[v + 1] - 1]`. */
export interface VertexCorners {
  readonly start: Uint32Array;
  readonly corners: Uint32Array;
}

export function cornersByVertex({ positions, triangles }: Mesh): VertexCorners {
  const start = new Uint32Array(positions.length / 3 + 1);
  for (let h = 0; h < triangles.length; h++) start[triangles[h] + 1]++;
  for (let v = 1; v < start.length; v++) start[v] += start[v - 1];
  const next = start.slice(),
    corners = new Uint32Array(triangles.length);
  for (let h = 0; h < triangles.length; h++) corners[next[triangles[h]]++] = h;
  return { start, corners };
}

export interface VertexQuestions {
  readonly surface: Surface;
  /** (F) index in `CLASSES`, or more where not machinable */
  readonly labels: Uint8Array;
  readonly at: VertexCorners;
  readonly part: SmoothPart;
}

/**
 * Reach radius at vertices of a surface, as far as a probe tells it, each asked once for every side that it
 * lies on, of machinable facets; one side is enough.
 *
 * @returns (as many as vertices) mm; Infinity: reached, or no machinable facet meets there
 */
export async function reachedVertices(
  vertices: readonly number[],
  { surface, labels, at, part }: VertexQuestions,
  probe: ReachProbe,
  { signal }: Context,
): Promise<Float64Array> {
  const {
    mesh: { positions },
    normals,
    parent,
  } = surface;
  const items = growingNumbers(),
    owner = growingNumbers();
  const out = new Float64Array(vertices.length).fill(Infinity);
  const place = new Float64Array(6);
  vertices.forEach((v, i) => {
    const sides: number[] = [];
    for (let c = at.start[v]; c < at.start[v + 1]; c++) {
      const h = at.corners[c];
      if (labels[(h / 3) | 0] >= MACHINABLE_CLASSES || sides.some((g) => sameNormal(normals, g, h))) continue;
      sides.push(h);
    }
    for (const h of sides) {
      onTrueSurface(
        part,
        parent[(h / 3) | 0],
        positions[3 * v],
        positions[3 * v + 1],
        positions[3 * v + 2],
        place,
      );
      for (const value of place) items.push(value);
      owner.push(i);
      out[i] = 0;
    }
  });
  if (owner.length() === 0) return out;
  const found = await probe.engine.run({ kind: 'reach', items: items.toArray(), radii: probe.radii }, signal);
  owner.toArray().forEach((i, j) => {
    out[i] = Math.max(out[i], found[j]);
  });
  return out;
}

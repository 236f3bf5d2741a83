import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { listsByKey, type Lists } from '../core/lists.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { Mesh, Surface } from '../part/types.js';
import { growingNumbers } from '../core/growing-numbers.js';
import type { ReachProbe } from './reach-probe.js';
import { sameNormal } from './reach-questions.js';

/** Corners by vertex. */
export const cornersByVertex = ({ positions, triangles }: Mesh): Lists =>
  listsByKey(triangles, positions.length / 3);

export interface VertexQuestions {
  readonly surface: Surface;
  /** (F) index in `CLASSES`, or more where not machinable */
  readonly labels: Uint8Array;
  /** from `cornersByVertex` */
  readonly at: Lists;
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
      const h = at.items[c];
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

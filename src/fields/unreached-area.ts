import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { runningSum } from '../core/sum.js';
import type { Mesh, Surface } from '../mesh/types.js';
import type { ReachEngine } from './reach-engine.js';
import { CROSSING_STRIDE } from './reach-kernels.js';
import { NOT_ASKED } from './sample-reach.js';

/** Where the border of what one radius reaches crosses the edges of a surface. */
export interface ReachBorder {
  /** index of the radius */
  readonly index: number;
  /** (3 F) fraction from the unreached end of each half-edge's edge to the border; NaN: the border does not cross */
  readonly cut: Float64Array;
}

/**
 * Finds where the border of the given radius crosses the machinable facets' edges.
 *
 * @param counts (V) from `sampleReach`
 * @param index radius asked about
 * @param sagittas (facets of the part) mm
 * @param accuracyMm along an edge
 */
export async function reachBorder(
  surface: Surface, classOf: Uint8Array, counts: Uint8Array, radii: Float64Array, index: number,
  sagittas: Float32Array, engine: ReachEngine, accuracyMm: number, context: Context,
): Promise<ReachBorder> {
  const { triangles, positions } = surface.mesh;
  const { twin } = surface.topology;
  const halfEdges: number[] = [];
  const items: number[] = [];
  for (let h = 0; h < triangles.length; h++) {
    const t = twin[h];
    const machinable = classOf[(h / 3) | 0] < MACHINABLE_CLASSES;
    const twinMachinable = t >= 0 && classOf[(t / 3) | 0] < MACHINABLE_CLASSES;
    if (!machinable || (twinMachinable && t < h)) continue;
    const next = h % 3 === 2 ? h - 2 : h + 1;
    const a = triangles[h], b = triangles[next];
    if (counts[a] === NOT_ASKED || counts[b] === NOT_ASKED) continue;
    const aOut = counts[a] <= index, bOut = counts[b] <= index;
    if (aOut === bOut) continue;
    halfEdges.push(h);
    for (const corner of aOut ? [h, next] : [next, h]) {
      for (let i = 0; i < 3; i++) items.push(positions[3 * triangles[corner] + i]);
      for (let i = 0; i < 3; i++) items.push(surface.normals[3 * corner + i]);
    }
    items.push(sagittas[surface.parent[(h / 3) | 0]], index);
    if (items.length !== CROSSING_STRIDE * halfEdges.length) throw new RangeError('reachBorder: out of step');
  }
  const cut = new Float64Array(triangles.length).fill(NaN);
  if (halfEdges.length === 0) return { index, cut };
  const task = { kind: 'crossings', items: Float64Array.from(items), radii, accuracyMm } as const;
  const fractions = await engine.run(task, context.signal);
  halfEdges.forEach((h, i) => {
    cut[h] = fractions[i];
    if (twin[h] >= 0) cut[twin[h]] = fractions[i];
  });
  return { index, cut };
}

/**
 * Area of the machinable surface that a radius does not reach, mm², facets cut along straight borders.
 *
 * @returns total, and each facet's share (F) 0 .. 1
 */
export function unreachedArea(
  surface: Surface, classOf: Uint8Array, areas: Float64Array, counts: Uint8Array, border: ReachBorder,
): { readonly totalMm2: number; readonly share: Float64Array } {
  const share = new Float64Array(areas.length);
  const total = runningSum();
  for (let f = 0; f < areas.length; f++) {
    if (classOf[f] >= MACHINABLE_CLASSES) continue;
    share[f] = unreachedShare(surface.mesh, f, counts, border);
    total.add(share[f] * areas[f]);
  }
  return { totalMm2: total.value(), share };
}

function unreachedShare(mesh: Mesh, f: number, counts: Uint8Array, border: ReachBorder): number {
  const out = (k: number): boolean => counts[mesh.triangles[3 * f + k]] <= border.index;
  const outside = [out(0), out(1), out(2)];
  const number = outside.filter(Boolean).length;
  if (number === 0 || number === 3) return number / 3;
  // The lone corner: the one that differs from the other two. Its two edges are cut.
  const lone = outside.findIndex((o) => o === (number === 1));
  const one = border.cut[3 * f + lone], other = border.cut[3 * f + ((lone + 2) % 3)];
  return number === 1 ? one * other : 1 - (1 - one) * (1 - other);
}

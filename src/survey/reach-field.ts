import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { growingNumbers } from '../fields/growing-numbers.js';
import type { ReachEngine } from '../fields/reach-engine.js';
import { NOT_ASKED } from '../fields/sample-reach.js';
import type { ReachAnalysis } from './analyse-reach.js';

/**
 * Largest ball radius that reaches each vertex of the refined surface.
 *
 * @param sagittas (facets of the part) mm
 * @param stockMm allowance left on the part, not part of the radius
 * @returns (V) mm, within 0.004 mm + 0.4 %; Infinity where the largest radius asked for reaches; NaN where it was not
 *   asked
 */
export async function reachField(
  reach: ReachAnalysis, sagittas: Float32Array, stockMm: number, engine: ReachEngine, context: Context,
): Promise<Float64Array> {
  const { counts, radii, labels, surface: { mesh: { positions, triangles }, normals, parent } } = reach;
  const field = new Float64Array(counts.length);
  const items = growingNumbers(), bounds = growingNumbers(), vertices = growingNumbers();
  const cornerOf = new Int32Array(counts.length).fill(-1);
  for (let h = 0; h < triangles.length; h++) {
    if (labels[(h / 3) | 0] < MACHINABLE_CLASSES && cornerOf[triangles[h]] < 0) cornerOf[triangles[h]] = h;
  }
  for (let v = 0; v < field.length; v++) {
    const h = cornerOf[v];
    field[v] = counts[v] === NOT_ASKED ? NaN : Infinity;
    if (h < 0 || counts[v] === NOT_ASKED || counts[v] >= radii.length) continue;
    for (let i = 0; i < 3; i++) items.push(positions[3 * v + i]);
    for (let i = 0; i < 3; i++) items.push(normals[3 * h + i]);
    items.push(1);
    items.push(sagittas[parent[(h / 3) | 0]]);
    bounds.push(counts[v] === 0 ? 0 : radii[counts[v] - 1]);
    bounds.push(radii[counts[v]]);
    vertices.push(v);
  }
  if (vertices.length() === 0) return field;
  const task = { kind: 'radii', items: items.toArray(), bounds: bounds.toArray() } as const;
  const found = await engine.run(task, context.signal, (done) => context.progress?.('reach radius', done));
  vertices.toArray().forEach((v, i) => { field[v] = Math.max(0, found[i] - stockMm); });
  return field;
}

import { EDGE } from './smooth-edges.js';
import type { Topology } from './types.js';

/** Cosine of half a degree: facets that lean less from their mean are no tip worth the name. */
const LEAST_LEAN = Math.cos((0.5 * Math.PI) / 180);
/**
 * At a tip of eight facets or more, neighbours bend by less than this share of what each leans from the mean.
 */
const FAN_SHARE = 0.8;
/** Facets at the pole of a dome bend on by twice their lean at their far edges; those of a cone do not. */
const BEYOND_SHARE = 0.5;

/**
 * Marks the corners at the tips of cones: a fan of facets, each hardly bent against the next, that together
 * lean far from their mean and run on straight away from the vertex. The mean of such a fan points along the
 * cone's axis and is a normal of no part of it.
 *
 * Judged by rule of thumb (no source); checked on cones, drill points, and the poles of domes of 16 to 256
 * segments.
 *
 * @param normals (3 F) unit, of the facets
 * @param kind (3 F) one of `EDGE` per half-edge
 * @param groups (3 F) group of corners around a vertex that each corner belongs to, 0 to G - 1
 * @param means (3 G) sum of the weighted normals of each group; any length
 * @returns (3 F) 1 at a tip
 */
export function cornersAtTips(
  topology: Topology,
  normals: Float64Array,
  kind: Uint8Array,
  groups: Int32Array,
  means: Float64Array,
): Uint8Array {
  const { twin } = topology;
  const count = kind.length;
  // Cosines by group: of the greatest lean, of the greatest bend between neighbours, of the greatest bend
  // beyond.
  const groupCount = means.length / 3;
  const lean = new Float32Array(groupCount).fill(1),
    fan = new Float32Array(groupCount).fill(1);
  const beyond = new Float32Array(groupCount).fill(1);
  const bendCosine = (h: number): number => {
    const f = 3 * ((h / 3) | 0),
      g = 3 * ((twin[h] / 3) | 0);
    return normals[f] * normals[g] + normals[f + 1] * normals[g + 1] + normals[f + 2] * normals[g + 2];
  };
  for (let corner = 0; corner < count; corner++) {
    const f = 3 * ((corner / 3) | 0),
      group = groups[corner],
      m = 3 * group;
    const length = Math.sqrt(means[m] * means[m] + means[m + 1] * means[m + 1] + means[m + 2] * means[m + 2]);
    const dot = normals[f] * means[m] + normals[f + 1] * means[m + 1] + normals[f + 2] * means[m + 2];
    if (length > 0) lean[group] = Math.min(lean[group], dot / length);
    if (kind[corner] !== EDGE.crease) fan[group] = Math.min(fan[group], bendCosine(corner));
    const far = corner - f === 2 ? f : corner + 1;
    if (kind[far] !== EDGE.crease) beyond[group] = Math.min(beyond[group], bendCosine(far));
  }
  const tips = new Uint8Array(count);
  for (let corner = 0; corner < count; corner++) {
    const group = groups[corner];
    if (lean[group] > LEAST_LEAN) continue;
    const angle = Math.acos(Math.max(-1, lean[group]));
    if (fan[group] > Math.cos(FAN_SHARE * angle) && beyond[group] > Math.cos(BEYOND_SHARE * angle))
      tips[corner] = 1;
  }
  return tips;
}

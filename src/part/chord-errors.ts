import { sagittaOf, type SmoothPart } from './sagittas.js';

/**
 * Greatest distance of each facet from the true surface that its corner normals tell of, mm.
 *
 * @param part normals at the corners, by `normalsToCreases`
 * @returns (F) 0 on planes
 */
export const chordErrors = (part: SmoothPart): Float64Array =>
  Float64Array.from({ length: part.mesh.triangles.length / 3 }, (_, f) =>
    greatestRise(sagittaOf(part, 3 * f), sagittaOf(part, 3 * f + 1), sagittaOf(part, 3 * f + 2)),
  );

/**
 * Greatest size of 4 (s ab + t bc + u ca) over a facet, a + b + c = 1: in the middle of an edge, or, where the surface
 * bends one way and no edge's share outweighs both others, where the three slopes are 0. On an equilateral facet of a
 * sphere it is 4 / 3 of an edge's sagitta, L² / 6 R.
 */
function greatestRise(s: number, t: number, u: number): number {
  const [x, y, z] = [Math.abs(s), Math.abs(t), Math.abs(u)];
  const edge = Math.max(x, y, z);
  const oneWay = (s > 0 && t > 0 && u > 0) || (s < 0 && t < 0 && u < 0);
  if (!oneWay || 2 * edge >= x + y + z) return edge;
  return (4 * x * y * z) / (2 * (x * y + y * z + z * x) - x * x - y * y - z * z);
}

import { nextCorner } from '../part/half-edge.js';
import { onTrueSurface, sagittaOf, type SmoothPart } from '../part/sagittas.js';
import { facetOver } from '../part/true-facets.js';
import type { Surface } from '../part/types.js';
import type { Shares } from './facet-samples.js';

/**
 * Ground beside an edge of a facet, between the chord of a curved wall and the wall: a piece of the segment of a
 * parabola, seen in plan. It lies on no facet.
 */
export interface Sliver {
  /** side of the surface's facet that it lies beside, 0 to 2 */
  readonly side: number;
  /** ends of that side along the part's own edge, 0 .. 1 */
  readonly ends: readonly [number, number];
  /** from the chord's middle to the wall's, mm */
  readonly bulge: readonly [number, number, number];
  /** in plan, mm² */
  readonly areaMm2: number;
}

/** Farther off a line, as a share of its length, no vertex of a side cut from it lies. */
const ROUNDING = 1e-7;

/** The slivers beside a facet that add ground to it. @param leastMm narrower ones count as none */
export function sliversBeside(
  { surface: { mesh, parent }, part }: { readonly surface: Surface; readonly part: SmoothPart },
  f: number,
  leastMm: number,
): Sliver[] {
  const { positions, triangles } = part.mesh;
  const found: Sliver[] = [];
  for (let h = 3 * parent[f]; h < 3 * parent[f] + 3; h++) {
    const twin = part.twin[h];
    if (twin < 0 || Math.abs(sagittaOf(part, twin)) < leastMm) continue;
    const bulge = bulgeAt(part, h);
    const p = 3 * triangles[h],
      q = 3 * triangles[nextCorner(h)];
    const x = positions[q] - positions[p],
      y = positions[q + 1] - positions[p + 1];
    const segmentMm2 = (2 / 3) * (bulge[0] * y - bulge[1] * x);
    if (!(segmentMm2 > leastMm * Math.sqrt(x * x + y * y))) continue;
    for (let side = 0; side < 3; side++) {
      const [from, to] = [3 * f + side, 3 * f + ((side + 1) % 3)].map((g) =>
        shareAlong(positions, p, q, mesh.positions, 3 * mesh.triangles[g]),
      );
      if (to > from)
        found.push({ side, ends: [from, to], bulge, areaMm2: segmentMm2 * (before(to) - before(from)) });
    }
  }
  return found;
}

/** What corners of the facet have of the place so far along a sliver, by its area. @param along 0 .. 1 */
export function sharesBeside({ side, ends: [from, to] }: Sliver, along: number): Shares {
  const share = (shareBefore(before(from) + along * (before(to) - before(from))) - from) / (to - from);
  const shares: [number, number, number] = [0, 0, 0];
  shares[side] = 1 - share;
  shares[(side + 1) % 3] = share;
  return shares;
}

/** Moves a place on a sliver's chord across it. @param across 0 .. 1 */
export function moveAcross(
  { side, ends: [from, to], bulge }: Sliver,
  shares: Shares,
  across: number,
  at: Float64Array,
): void {
  const share = from + shares[(side + 1) % 3] * (to - from);
  for (let k = 0; k < 3; k++) at[k] += 4 * share * (1 - share) * across * bulge[k];
}

/** Share of a parabola's segment before a share of its chord, and the other way round. */
const before = (share: number): number => share * share * (3 - 2 * share);
const shareBefore = (area: number): number => 0.5 - Math.sin(Math.asin(1 - 2 * area) / 3);

/** From where a half-edge's own side alone has the middle of its chord to where both sides have it, mm. */
function bulgeAt(part: SmoothPart, h: number): [number, number, number] {
  const f = (h / 3) | 0;
  const { corners, middle } = facetOver(part, f, 1);
  const [p, q] = [corners[h % 3], corners[(h + 1) % 3]];
  onTrueSurface(part, f, (p.at[0] + q.at[0]) / 2, (p.at[1] + q.at[1]) / 2, (p.at[2] + q.at[2]) / 2, own);
  const { at } = middle(p, q);
  return [at[0] - own[0], at[1] - own[1], at[2] - own[2]];
}

const own = new Float64Array(6);

/** Where a point lies along a line from p to q, 0 .. 1; NaN: off it. */
function shareAlong(line: Float64Array, p: number, q: number, points: Float64Array, o: number): number {
  let square = 0,
    dot = 0,
    off = 0;
  for (let k = 0; k < 3; k++) {
    const d = line[q + k] - line[p + k];
    square += d * d;
    dot += d * (points[o + k] - line[p + k]);
  }
  const share = dot / square;
  for (let k = 0; k < 3; k++) off += (points[o + k] - line[p + k] - share * (line[q + k] - line[p + k])) ** 2;
  return off > ROUNDING ** 2 * square ? NaN : Math.min(1, Math.max(0, share));
}

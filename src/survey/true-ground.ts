import { doubleArea } from '../part/facet-geometry.js';
import { nextCorner } from '../part/half-edge.js';
import { sagittaOf, type SmoothPart } from '../part/sagittas.js';
import { ontoBoth, unit, type Triple } from '../part/true-facets.js';
import type { Mesh } from '../part/types.js';
import { pointAt, type Shares, type TrueGround } from './facet-samples.js';

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
  readonly bulge: Triple;
  /** in plan, mm² */
  readonly areaMm2: number;
}

/** A facet in plan: the true surface over it, mm², and what lies beside it. */
export interface InPlan {
  readonly areaMm2: number;
  readonly besides: readonly Sliver[];
}

/** Ground narrower than this share of the tolerance is none. */
const NARROW = 0.01;

/** Facets in plan, each worked out once, however many cutters leave something on it. */
export function facetsInPlan(ground: TrueGround, toleranceMm: number): (f: number) => InPlan {
  const known = new Array<InPlan | undefined>(ground.surface.parent.length),
    leastMm = NARROW * toleranceMm;
  return (f) =>
    (known[f] ??= {
      areaMm2: truePlanArea(ground, f, leastMm),
      besides: sliversBeside(ground, f, leastMm),
    });
}

/** Farther off a line, as a share of its length, no vertex of a side cut from it lies. */
const ROUNDING = 1e-7;

/** The slivers beside a facet that add ground to it. @param leastMm narrower ones count as none */
export function sliversBeside(
  { surface: { mesh, parent }, part }: TrueGround,
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
const shareBefore = (area: number): number =>
  0.5 - Math.sin(Math.asin(Math.max(-1, Math.min(1, 1 - 2 * area))) / 3);

/**
 * From where a half-edge's own side alone has the middle of its chord to where both sides have it, mm: along its own
 * side, whose normal is n, until it is as far off the other's plane as that says; zeros where the surface is smooth.
 */
function bulgeAt(part: SmoothPart, h: number): Triple {
  const twin = part.twin[h];
  const n = middleNormal(part, h),
    m = middleNormal(part, twin);
  const cosine = n[0] * m[0] + n[1] * m[1] + n[2] * m[2];
  const by = ontoBoth(sagittaOf(part, h), sagittaOf(part, twin), cosine)?.[1] ?? 0;
  return [by * (m[0] - cosine * n[0]), by * (m[1] - cosine * n[1]), by * (m[2] - cosine * n[2])];
}

/** Unit normal of a half-edge's own side over its middle. */
function middleNormal({ normals }: SmoothPart, h: number): Triple {
  const p = 3 * h,
    q = 3 * nextCorner(h);
  return unit([normals[p] + normals[q], normals[p + 1] + normals[q + 1], normals[p + 2] + normals[q + 2]]);
}

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

/**
 * Area in plan of the true surface over a facet, mm²: its corners and the middles of its sides moved onto it, its sides
 * parabolas.
 *
 * @param leastMm chords that stand out by less count as none
 */
export function truePlanArea(ground: TrueGround, f: number, leastMm: number): number {
  const { part, surface } = ground;
  const sagittas = [0, 1, 2].map((k) => sagittaOf(part, 3 * surface.parent[f] + k));
  if (sagittas.every((mm) => Math.abs(mm) < leastMm)) return planArea(surface.mesh, f);
  HALVES.forEach((shares, k) => {
    const place = pointAt(ground, f, shares, sagittas);
    for (let i = 0; i < 2; i++) sixPlaces[2 * k + i] = place[i];
  });
  let area = 0;
  for (let k = 0; k < 3; k++) {
    const p = 4 * k,
      q = (p + 4) % 12;
    const [px, py, mx, my, qx, qy] = [p, p + 1, p + 2, p + 3, q, q + 1].map((i) => sixPlaces[i]);
    area += (2 / 3) * (px * my - py * mx + mx * qy - my * qx) - (1 / 6) * (px * qy - py * qx);
  }
  return Math.max(0, area);
}

const HALVES: readonly Shares[] = [
  [1, 0, 0],
  [0.5, 0.5, 0],
  [0, 1, 0],
  [0, 0.5, 0.5],
  [0, 0, 1],
  [0.5, 0, 0.5],
];
const sixPlaces = new Float64Array(12);

/** Area in plan, mm²; positive: the facet faces up. */
export function planArea(mesh: Mesh, f: number): number {
  doubleArea(mesh, f, cross);
  return 0.5 * cross[2];
}

const cross = new Float64Array(3);

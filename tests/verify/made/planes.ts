import type { Plane } from './solids.js';
import type { Break } from './sums.js';

/** A corner this far off a plane is none of it, mm: some steps of single precision at 400 mm. */
const OFF_MM = 1e-4;
/** A normal of a plane leans by no more: a class border moves by no more than it is wide. */
const LEANS_RAD = (0.5 * Math.PI) / 180;

/** A strip must be as many times as wide as any chord: one of a chord's width may be a chord of a round surface itself. */
const WIDER = 2;

/**
 * Facets that lie in a plane of the construction must have its normal at all corners: they are not bowed. What has
 * less height than a hundredth of a millimetre, or is as narrow as chords elsewhere, is too narrow to say.
 *
 * @param corners (9 F) mm
 * @param normals (9 F) of the surface as read, at those corners
 */
export function planeBreaks(corners: Float64Array, normals: Float64Array, planes: readonly Plane[]): Break[] {
  const facets = Array.from({ length: corners.length / 9 }, (_, f) => measured(corners, 9 * f));
  const isPlane = facets.map(({ at, normal }) => planes.some((plane) => liesIn(corners, at, normal, plane)));
  const chordMm = facets.reduce((most, { heightMm }, f) => Math.max(most, isPlane[f] ? 0 : heightMm), 0);
  const bowed = facets
    .filter(({ heightMm }, f) => isPlane[f] && heightMm > Math.max(100 * OFF_MM, WIDER * chordMm))
    .map((facet) => ({ ...facet, rad: leans(facet, normals) }))
    .filter(({ rad }) => rad > LEANS_RAD)
    .sort((a, b) => b.rad - a.rad);
  if (bowed.length === 0) return [];
  const areaMm2 = bowed.reduce((sum, facet) => sum + facet.areaMm2, 0);
  const [{ rad, at }] = bowed;
  const where = [...corners.subarray(at, at + 3)].map((x) => x.toFixed(2)).join(' ');
  const detail = `${areaMm2.toPrecision(3)} mm² bowed by up to ${((rad * 180) / Math.PI).toFixed(1)}° at ${where}`;
  return [{ invariant: 'planes', detail }];
}

/** By how much the normals at a facet's corners lean from its own at most. */
const leans = ({ at, normal: [x, y, z] }: Measured, n: Float64Array): number =>
  Math.max(
    ...[at, at + 3, at + 6].map((k) => Math.acos(Math.min(1, x * n[k] + y * n[k + 1] + z * n[k + 2]))),
  );

const liesIn = (c: Float64Array, i: number, own: readonly number[], { normal, offsetMm }: Plane): boolean =>
  Math.abs(own[0] * normal[0] + own[1] * normal[1] + own[2] * normal[2]) > 1 - 1e-4 &&
  [i, i + 3, i + 6].every(
    (k) => Math.abs(c[k] * normal[0] + c[k + 1] * normal[1] + c[k + 2] * normal[2] - offsetMm) < OFF_MM,
  );

interface Measured {
  /** where its corners begin */
  readonly at: number;
  readonly areaMm2: number;
  /** over its longest side */
  readonly heightMm: number;
  /** unit */
  readonly normal: readonly number[];
}

function measured(c: Float64Array, i: number): Measured {
  const side = (a: number, b: number): number[] => [0, 1, 2].map((k) => c[i + b + k] - c[i + a + k]);
  const length = (v: readonly number[]): number => Math.sqrt(v[0] ** 2 + v[1] ** 2 + v[2] ** 2);
  const [u, v, w] = [side(0, 3), side(0, 6), side(3, 6)];
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const twice = length(n);
  return {
    at: i,
    areaMm2: twice / 2,
    heightMm: twice / Math.max(length(u), length(v), length(w), 1e-12),
    normal: n.map((x) => x / (twice || 1)),
  };
}

/** Area of all facets, mm². */
export function areaOf(corners: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < corners.length; i += 9) sum += measured(corners, i).areaMm2;
  return sum;
}

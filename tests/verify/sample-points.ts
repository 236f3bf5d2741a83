import { unitNormals } from './facets.js';

/** Points spread evenly over a surface. Neighbours in the list are neighbours on the surface. */
export interface Sample {
  readonly areaMm2: number;
  /** (3 N) mm */
  readonly points: Float64Array;
  /** (3 N) unit normals of the facets they lie on */
  readonly normals: Float64Array;
}

/** Cells along each axis of the curve that puts facets in order: 2^10. */
const CURVE_BITS = 10;

/**
 * One point at random in each of `count` shares of equal area, the facets being put in order along a curve
 * that fills space, so that a share lies in one place.
 *
 * @param corners (9 F) mm
 * @param random numbers in [0, 1)
 */
export function samplePoints(corners: Float64Array, count: number, random: () => number): Sample {
  const small = splitLarge(corners, totalArea(corners) / count);
  const order = alongCurve(small);
  const normals = unitNormals(small);
  const sample = {
    areaMm2: totalArea(small),
    points: new Float64Array(3 * count),
    normals: new Float64Array(3 * count),
  };
  let before = 0;
  let k = 0;
  // Drawn once for each point: drawn anew at each facet, it would come out too early where facets are small.
  let next = random();
  for (const f of order) {
    before += areaOf(small, f);
    for (; k < count && (next / count) * sample.areaMm2 <= before; next = ++k + random()) place(k, f);
  }
  // Rounding may leave the last share short of the sum.
  for (; k < count; k++) place(k, order[order.length - 1]);
  return sample;

  function place(at: number, f: number): void {
    let [u, v] = [random(), random()];
    if (u + v > 1) [u, v] = [1 - u, 1 - v];
    for (let i = 0; i < 3; i++) {
      const a = small[9 * f + i];
      sample.points[3 * at + i] = a + u * (small[9 * f + 3 + i] - a) + v * (small[9 * f + 6 + i] - a);
      sample.normals[3 * at + i] = normals[3 * f + i];
    }
  }
}

function areaOf(c: Float64Array, f: number): number {
  const i = 9 * f;
  const [ux, uy, uz] = [c[i + 3] - c[i], c[i + 4] - c[i + 1], c[i + 5] - c[i + 2]];
  const [vx, vy, vz] = [c[i + 6] - c[i], c[i + 7] - c[i + 1], c[i + 8] - c[i + 2]];
  return Math.sqrt((uy * vz - uz * vy) ** 2 + (uz * vx - ux * vz) ** 2 + (ux * vy - uy * vx) ** 2) / 2;
}

function totalArea(corners: Float64Array): number {
  let sum = 0;
  for (let f = 0; 9 * f < corners.length; f++) sum += areaOf(corners, f);
  return sum;
}

/** Facets larger than `most` halved at their longest edge until none is. */
function splitLarge(corners: Float64Array, most: number): Float64Array {
  const done: number[] = [];
  const open: Float64Array[] = [];
  for (let f = 0; 9 * f < corners.length; f++) open.push(corners.slice(9 * f, 9 * f + 9));
  for (let facet = open.pop(); facet; facet = open.pop()) {
    if (areaOf(facet, 0) <= most) {
      done.push(...facet);
      continue;
    }
    const length2 = (k: number): number => {
      const [i, j] = [3 * k, 3 * ((k + 1) % 3)];
      return (
        (facet[i] - facet[j]) ** 2 + (facet[i + 1] - facet[j + 1]) ** 2 + (facet[i + 2] - facet[j + 2]) ** 2
      );
    };
    const lengths = [0, 1, 2].map(length2);
    const k = lengths.indexOf(Math.max(...lengths));
    const corner = (j: number): Float64Array => facet.subarray(3 * (j % 3), 3 * (j % 3) + 3);
    const middle = corner(k).map((x, i) => (x + corner(k + 1)[i]) / 2);
    open.push(Float64Array.of(...corner(k), ...middle, ...corner(k + 2)));
    open.push(Float64Array.of(...middle, ...corner(k + 1), ...corner(k + 2)));
  }
  return Float64Array.from(done);
}

/** Facets in the order of their middles along the Z-order curve (Morton 1966: bits of x, y and z in turn). */
function alongCurve(corners: Float64Array): Uint32Array {
  const count = corners.length / 9;
  const middle = (f: number, i: number): number =>
    (corners[9 * f + i] + corners[9 * f + 3 + i] + corners[9 * f + 6 + i]) / 3;
  const low = [Infinity, Infinity, Infinity];
  let size = 1e-9;
  for (let f = 0; f < count; f++) for (let i = 0; i < 3; i++) low[i] = Math.min(low[i], middle(f, i));
  for (let f = 0; f < count; f++) for (let i = 0; i < 3; i++) size = Math.max(size, middle(f, i) - low[i]);
  const keys = new Uint32Array(count);
  for (let f = 0; f < count; f++) {
    const cell = [0, 1, 2].map((i) => Math.floor(((middle(f, i) - low[i]) / size) * (2 ** CURVE_BITS - 1)));
    for (let bit = CURVE_BITS - 1; bit >= 0; bit--) {
      for (const place of cell) keys[f] = 2 * keys[f] + ((place >> bit) & 1);
    }
  }
  return Uint32Array.from({ length: count }, (_, f) => f).sort((f, g) => keys[f] - keys[g]);
}

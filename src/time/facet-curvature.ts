import { checkLengths } from '../core/check-lengths.js';
import type { Mesh } from '../part/types.js';

/**
 * Curvature of the true surface over each facet, from the normals at its corners.
 *
 * The shape operator S is the symmetric map with `S e = Δn` for a step `e` along the facet; three edges give
 * six equations for three unknowns, solved by least squares (the normal-difference method of Rusinkiewicz
 * 2004, doi:10.1109/TDPVT.2004.1335277; from memory). Convex positive: a sphere of radius r gives +1/r in
 * every direction. A chord and the difference of its two end normals shrink alike, so circular sections come
 * out exact at any facet size.
 *
 * @param normals (9 F) unit outward normal of the true surface at each corner
 * @returns (6 F) xx, yy, zz, xy, xz, yz of the tensor K with `k(t) = tᵀ K t` for a unit tangent t, 1/mm;
 *   zeros for a facet without area
 * @throws {RangeError} if the lengths do not agree
 */
export function facetCurvatures({ positions, triangles }: Mesh, normals: Float64Array): Float64Array {
  const count = Math.floor(triangles.length / 3);
  checkLengths('facetCurvatures', {
    corners: [triangles.length, 3 * count],
    normals: [normals.length, 9 * count],
  });
  const result = new Float64Array(6 * count);
  const frame = new Float64Array(6),
    corners = new Float64Array(9);
  for (let f = 0; f < count; f++) {
    for (let k = 0; k < 3; k++)
      for (let i = 0; i < 3; i++) corners[3 * k + i] = positions[3 * triangles[3 * f + k] + i];
    if (facetFrame(corners, frame)) fitFacet(corners, normals, 9 * f, frame, result, 6 * f);
  }
  return result;
}

/** Orthonormal axes u, v in the plane of the facet with corners p; false if the facet has no area. */
function facetFrame(p: Float64Array, frame: Float64Array): boolean {
  let ux = p[3] - p[0],
    uy = p[4] - p[1],
    uz = p[5] - p[2];
  let vx = p[6] - p[0],
    vy = p[7] - p[1],
    vz = p[8] - p[2];
  const u2 = ux * ux + uy * uy + uz * uz,
    v2 = vx * vx + vy * vy + vz * vz;
  const length = Math.sqrt(u2);
  ux /= length;
  uy /= length;
  uz /= length;
  const along = ux * vx + uy * vy + uz * vz;
  vx -= along * ux;
  vy -= along * uy;
  vz -= along * uz;
  const height = Math.sqrt(vx * vx + vy * vy + vz * vz);
  // Slimmer than this, the height is mostly rounding of float32 input.
  if (!(height > 1e-6 * Math.sqrt(Math.max(u2, v2)))) return false;
  frame[0] = ux;
  frame[1] = uy;
  frame[2] = uz;
  frame[3] = vx / height;
  frame[4] = vy / height;
  frame[5] = vz / height;
  return true;
}

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one fit; its sums stay locals, which no call per facet could hand over.
function fitFacet(
  p: Float64Array,
  n: Float64Array,
  o: number,
  frame: Float64Array,
  out: Float64Array,
  at: number,
): void {
  const ux = frame[0],
    uy = frame[1],
    uz = frame[2],
    vx = frame[3],
    vy = frame[4],
    vz = frame[5];
  let xx = 0,
    xy = 0,
    yy = 0,
    rx = 0,
    ry = 0,
    rm = 0;
  for (let k = 0; k < 3; k++) {
    const i = 3 * k,
      j = k === 2 ? 0 : i + 3,
      a = o + i,
      b = o + j;
    const dx = p[j] - p[i],
      dy = p[j + 1] - p[i + 1],
      dz = p[j + 2] - p[i + 2];
    const gx = n[b] - n[a],
      gy = n[b + 1] - n[a + 1],
      gz = n[b + 2] - n[a + 2];
    const eu = dx * ux + dy * uy + dz * uz,
      ev = dx * vx + dy * vy + dz * vz;
    const nu = gx * ux + gy * uy + gz * uz,
      nv = gx * vx + gy * vy + gz * vz;
    xx += eu * eu;
    xy += eu * ev;
    yy += ev * ev;
    rx += eu * nu;
    ry += ev * nv;
    rm += ev * nu + eu * nv;
  }
  // Normal equations of S = [[a, b], [b, c]]: a xx + b xy = rx; a xy + b (xx + yy) + c xy = rm; b xy + c yy =
  // ry.
  const b = (rm - (xy * rx) / xx - (xy * ry) / yy) / (xx + yy - (xy * xy) / xx - (xy * xy) / yy);
  const a = (rx - b * xy) / xx,
    c = (ry - b * xy) / yy;
  // A sliver whose height vanishes by rounding says nothing of the bend across it.
  if (!Number.isFinite(a + b + c)) return;
  out[at] = a * ux * ux + 2 * b * ux * vx + c * vx * vx;
  out[at + 1] = a * uy * uy + 2 * b * uy * vy + c * vy * vy;
  out[at + 2] = a * uz * uz + 2 * b * uz * vz + c * vz * vz;
  out[at + 3] = a * ux * uy + b * (ux * vy + uy * vx) + c * vx * vy;
  out[at + 4] = a * ux * uz + b * (ux * vz + uz * vx) + c * vx * vz;
  out[at + 5] = a * uy * uz + b * (uy * vz + uz * vy) + c * vy * vz;
}

/**
 * `sᵀ K t` for the tensor at offset `at` of what `facetCurvatures` returns, 1/mm; with s = t the normal
 * curvature.
 */
export function bend(
  k: Float64Array,
  at: number,
  sx: number,
  sy: number,
  sz: number,
  tx: number,
  ty: number,
  tz: number,
): number {
  const x = k[at] * tx + k[at + 3] * ty + k[at + 4] * tz;
  const y = k[at + 3] * tx + k[at + 1] * ty + k[at + 5] * tz;
  const z = k[at + 4] * tx + k[at + 5] * ty + k[at + 2] * tz;
  return sx * x + sy * y + sz * z;
}

import type { SurfaceBuilder } from '../surface/surface-builder.js';

/**
 * Wall angles closer than this to a border lie on it, radians: the noise of float32 coordinates. It moves a
 * border by less than a micrometre per 100 mm of radius.
 */
export const ON_BORDER_RAD = 1e-5;

/**
 * Wall angle of a normal: between it and +Z, radians, 0 to pi. Any length but zero; NaN for the zero vector.
 */
export function wallAngle(nx: number, ny: number, nz: number): number {
  const across = Math.sqrt(nx * nx + ny * ny);
  return across === 0 && nz === 0 ? NaN : Math.atan2(across, nz);
}

/** (9 F) normals at corners: (3 F) the wall angle of each. */
export function cornerAngles(normals: Float64Array): Float64Array {
  const angles = new Float64Array(normals.length / 3);
  for (let i = 0; i < angles.length; i++)
    angles[i] = wallAngle(normals[3 * i], normals[3 * i + 1], normals[3 * i + 2]);
  return angles;
}

/**
 * Cuts facets along the lines where the wall angle crosses each of `borders`.
 *
 * Along an edge the normal is the interpolated one, made unit again: interpolating the angle or nz itself
 * moves a 10-degree border by a fifth of its area on coarse facets. On a crease the two sides cross in
 * different places and each puts its own vertex there, so the surface stays conforming.
 *
 * @param borders wall angles, radians, any order
 */
export function cutAngles(build: SurfaceBuilder, borders: readonly number[]): void {
  const near = facetsNearBorders(build, borders);
  borders.forEach((border, i) => {
    const bit = 1 << i;
    // Facets grow under this loop: halves of later facets are appended and looked at in their turn. A facet
    // already passed has no crossing edge left, and a vertex put on one of its edges cannot make one.
    for (let f = 0; f < build.faceCount(); f++) {
      if (f < near.length && (near[f] & bit) === 0) continue;
      while (cutOnce(build, f, border, near)) {
        /* until no edge of f crosses */
      }
    }
  });
}

/**
 * (F) bit i set where an edge of the facet may cross border i: in one look at the normals, which all borders
 * share. Most facets of a fine mesh are near none.
 */
function facetsNearBorders(build: SurfaceBuilder, borders: readonly number[]): Uint32Array {
  if (borders.length > 32) throw new RangeError(`cutAngles: ${borders.length} borders, at most 32`);
  const { normals } = build.arrays();
  const near = new Uint32Array(build.faceCount());
  const heights = Float64Array.from(borders, (border) => Math.cos(border));
  for (let f = 0, i = 0; f < near.length; f++, i += 9) {
    const za = normals[i + 2],
      zb = normals[i + 5],
      zc = normals[i + 8];
    const turn = Math.max(
      turnBetween(normals, i, i + 3),
      turnBetween(normals, i + 3, i + 6),
      turnBetween(normals, i + 6, i),
    );
    if (turn < LEAST_TURN) continue;
    // A little wider than the test of each edge, so that rounding cannot tell them apart.
    const reach = turn + 1e-12;
    const low = Math.min(za, zb, zc) - reach,
      high = Math.max(za, zb, zc) + reach;
    for (let b = 0; b < heights.length; b++) if (heights[b] >= low && heights[b] <= high) near[f] |= 1 << b;
  }
  return near;
}

/** Normals that differ by less along an edge cross no border on it. */
const LEAST_TURN = 1e-9;

/** Bounds the length of the difference of two normals from above. */
const turnBetween = (normals: Float64Array, a: number, b: number): number =>
  Math.abs(normals[a] - normals[b]) +
  Math.abs(normals[a + 1] - normals[b + 1]) +
  Math.abs(normals[a + 2] - normals[b + 2]);

function cutOnce(build: SurfaceBuilder, f: number, border: number, near: Uint32Array): boolean {
  const { normals, twin } = build.arrays();
  for (let k = 0; k < 3; k++) {
    const a = 9 * f + 3 * k,
      b = 9 * f + 3 * ((k + 1) % 3);
    const s = crossing(normals, a, b, border);
    if (s > 0 && s < 1) {
      // The cut gives both facets new normals.
      const t = twin[3 * f + k];
      if (f < near.length) near[f] = -1;
      if (t >= 0 && t < 3 * near.length) near[(t / 3) | 0] = -1;
      build.bisect(3 * f + k, s);
      return true;
    }
  }
  return false;
}

const side = (normals: Float64Array, i: number, border: number): number => {
  const off = wallAngle(normals[i], normals[i + 1], normals[i + 2]) - border;
  return Math.abs(off) <= ON_BORDER_RAD ? 0 : Math.sign(off);
};

/** Fraction from normal a to normal b where the wall angle is `border`; -1 if it does not cross. */
function crossing(normals: Float64Array, a: number, b: number, border: number): number {
  const nz = Math.cos(border);
  // Far from the border on one side, and hardly turning: the common case, without an arc tangent.
  const za = normals[a + 2],
    zb = normals[b + 2];
  const turn = turnBetween(normals, a, b);
  if (
    turn < LEAST_TURN ||
    ((za - nz) * (zb - nz) > 0 && Math.min(Math.abs(za - nz), Math.abs(zb - nz)) > turn)
  )
    return -1;
  const from = side(normals, a, border),
    to = side(normals, b, border);
  if (from * to < 0) return root(normals, a, b, nz);
  if (from === 0 || to === 0 || from !== to) return -1;
  // Both ends on one side, yet the angle may dip across in between, as over the crest of a coarse dome.
  const s = extremum(normals, a, b);
  if (!(s > 1e-6 && s < 1 - 1e-6)) return -1;
  const x = normals[a] + s * (normals[b] - normals[a]);
  const y = normals[a + 1] + s * (normals[b + 1] - normals[a + 1]);
  const off = wallAngle(x, y, za + s * (zb - za)) - border;
  return Math.abs(off) > ON_BORDER_RAD && Math.sign(off) !== from ? s : -1;
}

/** Solves nz = cos(border) |n| along the chord of two unit normals on opposite sides of the border. */
function root(normals: Float64Array, a: number, b: number, cosine: number): number {
  const dx = normals[b] - normals[a],
    dy = normals[b + 1] - normals[a + 1],
    dz = normals[b + 2] - normals[a + 2];
  const height = (s: number): number => {
    const x = normals[a] + s * dx,
      y = normals[a + 1] + s * dy,
      z = normals[a + 2] + s * dz;
    return z - cosine * Math.sqrt(x * x + y * y + z * z);
  };
  let low = 0,
    high = 1;
  const sign = Math.sign(height(0));
  for (let i = 0; i < 60 && high - low > 1e-15; i++) {
    const s = 0.5 * (low + high);
    if (Math.sign(height(s)) === sign) low = s;
    else high = s;
  }
  return 0.5 * (low + high);
}

/**
 * Where nz / |n| is stationary along the chord of two normals: the equation is linear. May lie outside 0..1.
 */
function extremum(normals: Float64Array, a: number, b: number): number {
  const dx = normals[b] - normals[a],
    dy = normals[b + 1] - normals[a + 1],
    dz = normals[b + 2] - normals[a + 2];
  const nn = normals[a] ** 2 + normals[a + 1] ** 2 + normals[a + 2] ** 2;
  const nd = normals[a] * dx + normals[a + 1] * dy + normals[a + 2] * dz;
  const dd = dx * dx + dy * dy + dz * dz;
  return (dz * nn - normals[a + 2] * nd) / (normals[a + 2] * dd - dz * nd);
}

export type CutterKind = 'ball' | 'flat' | 'bull-nose' | 'tapered-ball';

/**
 * Shape of a cutter as a solid of revolution about +Z: tip down, its greatest radius carried upwards without
 * end.
 *
 *     ball              bull-nose            flat             tapered ball-nose
 *     |     |           |       |          |      |            |       |
 *     |     |           |       |          |      |             \     /   half-angle a from the axis
 *      \   /             \     /           |      |              \   /
 *       `-'  RE = DC/2    `---'  RE        |______|  RE = 0       `-'     RE
 */
export interface CutterProfile {
  readonly kind: CutterKind;
  /** DC/2, the greatest radius, mm; for a tapered ball-nose the radius where the cone ends. */
  readonly radiusMm: number;
  /** RE, mm: DC/2 for a ball, 0 for a flat cutter. */
  readonly cornerRadiusMm: number;
  /** Angle between the cone and the axis, rad; 0 for every other kind. */
  readonly taperHalfAngleRad: number;
}

function assertPositive(caller: string, name: string, value: number): void {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new RangeError(`${caller}: ${name} ${value}, expected a positive finite number`);
  }
}

/** A ball-nose cutter, RE = DC/2. @throws {RangeError} unless the radius is positive and finite */
export function ballProfile(radiusMm: number): CutterProfile {
  assertPositive('ballProfile', 'radius', radiusMm);
  return { kind: 'ball', radiusMm, cornerRadiusMm: radiusMm, taperHalfAngleRad: 0 };
}

/**
 * A cutter with a flat end and sharp corners, RE = 0. @throws {RangeError} unless the radius is positive and
 * finite
 */
export function flatProfile(radiusMm: number): CutterProfile {
  assertPositive('flatProfile', 'radius', radiusMm);
  return { kind: 'flat', radiusMm, cornerRadiusMm: 0, taperHalfAngleRad: 0 };
}

/** A flat end with rounded corners. @throws {RangeError} unless 0 < RE < DC/2 */
export function bullNoseProfile(radiusMm: number, cornerRadiusMm: number): CutterProfile {
  assertPositive('bullNoseProfile', 'radius', radiusMm);
  assertPositive('bullNoseProfile', 'corner radius', cornerRadiusMm);
  if (cornerRadiusMm >= radiusMm) {
    throw new RangeError(`bullNoseProfile: corner radius ${cornerRadiusMm}, expected less than ${radiusMm}`);
  }
  return { kind: 'bull-nose', radiusMm, cornerRadiusMm, taperHalfAngleRad: 0 };
}

/**
 * A ball that runs tangentially into a cone, which widens up to `radiusMm`.
 *
 * @param taperHalfAngleRad between cone and axis, 0 < a < π/2
 * @throws {RangeError} if the cone would end below the circle where it touches the ball, RE cos a > DC/2
 */
export function taperedBallProfile(
  radiusMm: number,
  cornerRadiusMm: number,
  taperHalfAngleRad: number,
): CutterProfile {
  assertPositive('taperedBallProfile', 'radius', radiusMm);
  assertPositive('taperedBallProfile', 'corner radius', cornerRadiusMm);
  if (!(taperHalfAngleRad > 0 && taperHalfAngleRad < Math.PI / 2)) {
    throw new RangeError(
      `taperedBallProfile: half-angle ${taperHalfAngleRad} rad, expected within 0 and π/2`,
    );
  }
  if (cornerRadiusMm * Math.cos(taperHalfAngleRad) > radiusMm) {
    throw new RangeError(`taperedBallProfile: radius ${radiusMm}, expected at least RE cos a`);
  }
  return { kind: 'tapered-ball', radiusMm, cornerRadiusMm, taperHalfAngleRad };
}

/** Radius of the flat part of the end, mm: DC/2 - RE for a bull-nose, DC/2 for a flat cutter, else 0. */
export function flatRadiusMm(profile: CutterProfile): number {
  return profile.kind === 'tapered-ball' ? 0 : profile.radiusMm - profile.cornerRadiusMm;
}

/**
 * Height of the cutter's underside above its tip, g(d), mm: convex and non-decreasing.
 *
 * @param distanceMm d >= 0 from the axis
 * @returns `Infinity` beyond DC/2, where the cutter is not; NaN for NaN
 */
export function profileHeight(profile: CutterProfile, distanceMm: number): number {
  if (distanceMm > profile.radiusMm) return Infinity;
  const across = distanceMm - flatRadiusMm(profile);
  const radius = profile.cornerRadiusMm;
  if (across <= 0) return 0;
  const taper = profile.taperHalfAngleRad;
  const tangent = radius * Math.cos(taper);
  if (taper > 0 && across > tangent)
    return radius * (1 - Math.sin(taper)) + (across - tangent) / Math.tan(taper);
  // across² / (r + √…) instead of r - √…: no cancellation near the tip.
  const root = Math.sqrt(Math.max(0, radius * radius - across * across));
  return (across * across) / (radius + root);
}

/**
 * Distance from the axis, mm, at which the cutter touches a plane whose upward normal makes the wall angle θ
 * with +Z.
 *
 * RE sin θ outside the flat end; the shoulder DC/2 where the plane is steeper than the cone. Two cases leave
 * a choice: on a level plane the whole flat end touches and the axis itself (0) is returned; on a plane as
 * steep as the cone the whole cone touches and its lower end is returned. An overhanging plane (cos θ < 0)
 * touches nothing; it counts as vertical.
 *
 * @param sine sin θ >= 0
 * @param cosine cos θ
 */
export function contactDistance(profile: CutterProfile, sine: number, cosine: number): number {
  if (cosine <= 0) return profile.radiusMm;
  // Below this the direction of the slope is rounding noise of unit normals.
  if (sine < 1e-9) return 0;
  const { kind, taperHalfAngleRad: taper } = profile;
  if (kind === 'flat') return profile.radiusMm;
  if (kind === 'tapered-ball' && sine > Math.cos(taper) * (1 + 1e-12)) return profile.radiusMm;
  // The sine of a unit normal may come out above 1 by rounding, and beyond DC/2 the underside is infinitely
  // high.
  return Math.min(profile.radiusMm, flatRadiusMm(profile) + profile.cornerRadiusMm * sine);
}

/**
 * Where the tip of the cutter is when its underside touches a plane, relative to the touched point:
 * d n_h/|n_h| across, -g(d) up, with d from `contactDistance`. For a ball that is R n - (0, 0, R).
 *
 * @param out (3) tip minus touched point, mm, returned
 */
export function contactTip(
  profile: CutterProfile,
  nx: number,
  ny: number,
  nz: number,
  out: Float64Array,
): Float64Array {
  const sine = Math.sqrt(nx * nx + ny * ny);
  const distance = contactDistance(profile, sine, nz);
  const scale = sine > 0 ? distance / sine : 0;
  out[0] = scale * nx;
  out[1] = scale * ny;
  out[2] = -profileHeight(profile, distance);
  return out;
}

/**
 * The cutter grown by s on all sides, as it acts on a part on which stock s is left. Its tip lies s below the
 * tip of the cutter itself: tip height of the cutter = tip height of the grown one + s. A flat end grows into
 * a bull-nose. Exact, but for the shoulder of a tapered ball-nose: there the grown cone is carried on to DC/2
 * + s instead of being rounded, which encloses the exact one.
 *
 * @throws {RangeError} unless s >= 0 and finite
 */
export function offsetProfile(profile: CutterProfile, stockMm: number): CutterProfile {
  if (!(stockMm >= 0 && Number.isFinite(stockMm))) {
    throw new RangeError(`offsetProfile: ${stockMm} mm, expected 0 or more`);
  }
  if (stockMm === 0) return profile;
  return {
    kind: profile.kind === 'flat' ? 'bull-nose' : profile.kind,
    radiusMm: profile.radiusMm + stockMm,
    cornerRadiusMm: profile.cornerRadiusMm + stockMm,
    taperHalfAngleRad: profile.taperHalfAngleRad,
  };
}

import { flatRadiusMm, profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';

/** How deep points, facets' planes and boxes lie inside a cutter; see `cutterEntry`. */
export interface CutterEntry {
  /** Entry of a point, mm. @param d >= 0 from the axis @param h above the tip */
  entryAt(d: number, h: number): number;
  /**
   * How far the cutter extends from its tip along the unit direction `sine` outwards, `cosine` downwards, mm.
   */
  support(sine: number, cosine: number): number;
  /**
   * Distance from the axis, up the slope, at which a plane is entered deepest, mm.
   *
   * @param sine of the plane's wall angle, < 1
   * @param cosine > 0
   * @param above how far the plane lies above the tip along its upward normal, mm
   */
  planeDistance(sine: number, cosine: number, above: number): number;
}

/**
 * How deep a point lies inside a cutter, e(q): the signed distance to a convex solid, hence concave in q.
 * Seen in the half-plane of q and the axis, d from the axis and h above the tip:
 *
 *       |  core  |      |        flat end        e = min(h, R - d)           d <= Rm
 *     R |   Rm   |  RE  |        corner          e = RE - |(d - Rm, h - RE)|
 *       |........c .... |        cone            e = RE - (d - Rm) cos a + (h - RE) sin a
 *       |        | `.  /         shaft           e <= R - d
 *       |________|___-'
 *
 * (outside, beyond the shoulder of a tapered cutter, the lesser of two distances to planes; only its sign is
 * used).
 */
export function cutterEntry(profile: CutterProfile): CutterEntry {
  const flat = flatRadiusMm(profile),
    corner = profile.cornerRadiusMm,
    radius = profile.radiusMm;
  const sinA = Math.sin(profile.taperHalfAngleRad),
    cosA = Math.cos(profile.taperHalfAngleRad);
  const shoulder = profileHeight(profile, radius);
  const entryAt = (d: number, h: number): number => {
    const u = d - flat,
      v = h - corner;
    if (u <= 0) return Math.min(h, radius - d);
    const inner = u * sinA + v * cosA > 0 ? corner - u * cosA + v * sinA : corner - Math.sqrt(u * u + v * v);
    return Math.min(inner, radius - d);
  };
  const support = (sine: number, cosine: number): number =>
    sine > cosA * (1 + 1e-12) && sinA > 0
      ? radius * sine - shoulder * cosine
      : flat * sine + corner * (1 - cosine);
  const planeDistance = (sine: number, cosine: number, above: number): number => {
    const rise = sine / cosine,
      start = above / cosine;
    if (sinA > 0 && sine > cosA) {
      return Math.max(0, (radius - corner - (start - corner) * sinA) / (1 - cosA + rise * sinA));
    }
    const clear = cosine * corner - sine * flat - above;
    if (clear > 0) return flat + clear * sine;
    return sinA > 0 || sine < 1e-9 ? 0 : Math.max(0, (radius - start) / (1 + rise));
  };

  return { entryAt, support, planeDistance };
}

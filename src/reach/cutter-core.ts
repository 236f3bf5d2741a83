import { flatRadiusMm, type CutterProfile } from '../cutter/cutter-profile.js';

/**
 * A cutter is its core, thickened by RE: a disc, or a cone standing on its tip, carried upwards without end. The core
 * is convex, and distance to the cutter is distance to it less RE.
 */
export interface CutterCore {
  /** Distance from the origin to the core of the cutter whose tip is (x, y, z), mm; its nearest point to `point`. */
  distance(x: number, y: number, z: number): number;
  /** (3) relative to the tip */
  readonly point: Float64Array;
}

export function cutterCore(profile: CutterProfile): CutterCore {
  const flat = flatRadiusMm(profile),
    corner = profile.cornerRadiusMm;
  const taper = profile.taperHalfAngleRad,
    sinA = Math.sin(taper),
    cosA = Math.cos(taper);
  const end = profile.radiusMm - corner;
  const point = new Float64Array(3);
  const distance = (x: number, y: number, z: number): number => {
    const d = Math.sqrt(x * x + y * y),
      v = -z - corner;
    let across = Math.min(d, flat),
      up = Math.max(v, 0);
    if (taper > 0) {
      const along = d * sinA + v * cosA;
      if (v > 0 && d * cosA <= v * sinA) across = Math.min(d, end);
      else if (along <= 0) {
        across = 0;
        up = 0;
      } else if (along * sinA <= end) {
        across = along * sinA;
        up = along * cosA;
      } else {
        across = end;
        up = Math.max(v, (end * cosA) / sinA);
      }
    }
    const scale = d > 0 ? -across / d : 0;
    point[0] = scale * x;
    point[1] = scale * y;
    point[2] = corner + up;
    const off = d - across,
      over = v - up;
    return Math.sqrt(off * off + over * over);
  };
  return { distance, point };
}
